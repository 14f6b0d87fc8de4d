package guide

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"foldwright/solver/draw"
	"foldwright/testdata/designs"
	"foldwright/testdata/outside"
)

var update = flag.Bool("update", false, "write the golden guides anew")

// run runs a program and gives what it writes.
func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	var stderr bytes.Buffer
	c := exec.Command(outside.Program(t, name), args...)
	c.Stderr = &stderr
	out, err := c.Output()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s%s", name, args, err, out, stderr.Bytes())
	}
	return string(out)
}

func page1(t *testing.T, g *Guide) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := WriteHTML(&out, g); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func pdf(t *testing.T, g *Guide, paper string, o draw.Orientation) []byte {
	t.Helper()
	p, ok := draw.FindPaper(paper)
	if !ok {
		t.Fatalf("no paper %s", paper)
	}
	var out bytes.Buffer
	if err := WritePDF(&out, g, PDFOptions{Paper: p, Orientation: o}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func saved(t *testing.T, name string, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestGoldenGuides holds two guides byte by byte, one with strips and a runner.
func TestGoldenGuides(t *testing.T) {
	for _, name := range []string{"lighthouse", "ferry"} {
		g, _ := example(t, name, Options{Pictures: true, Copies: 2})
		for file, got := range map[string][]byte{name + ".html": page1(t, g), name + ".pdf": pdf(t, g, "A5", draw.Portrait)} {
			path := filepath.Join("testdata", file)
			if *update {
				if err := os.MkdirAll("testdata", 0o755); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(path, got, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got, want) {
				t.Errorf("%s differs; look at the new one and run with -update if it is right", path)
			}
		}
	}
}

// told lists what a file must say, in the order it must say it.
func told(g *Guide) []string {
	list := []string{g.Title}
	for _, c := range g.Cautions {
		list = append(list, c.Title, c.Text)
	}
	for _, s := range g.Steps {
		list = append(list, strconv.Itoa(s.Number)+". "+s.Title)
		list = append(list, s.Text...)
		list = append(list, s.Checks...)
	}
	return append(list, g.Final...)
}

var space = regexp.MustCompile(`\s+`)

// says checks that a text has all of a list in its order.
func says(t *testing.T, text string, list []string) {
	t.Helper()
	text = space.ReplaceAllString(text, " ")
	at := 0
	for _, s := range list {
		i := strings.Index(text[at:], s)
		if i < 0 {
			t.Fatalf("no %q after …%q", s, text[max(0, at-80):min(len(text), at+200)])
		}
		at += i + len(s)
	}
}

// TestPageParses reads the page with libxml2's parser of HTML, and looks for what
// would fetch or run anything. That parser is older than the elements of HTML 5 and
// of SVG, and says so of each.
func TestPageParses(t *testing.T) {
	for _, name := range designs.Names() {
		t.Run(name, func(t *testing.T) {
			g, _ := example(t, name, Options{Pictures: true, Copies: 2})
			page := page1(t, g)
			for _, outside := range []string{"<script", "http-equiv", "src=", "url(", "@import", "href=\"http"} {
				if bytes.Contains(page, []byte(outside)) {
					t.Errorf("the page has %s", outside)
				}
			}
			if bytes.Count(page, []byte(`role="img"`)) != bytes.Count(page, []byte("<svg")) || bytes.Contains(page, []byte("<title></title>")) {
				t.Error("a picture has no title")
			}
			path := saved(t, "guide.html", page)
			c := exec.Command(outside.Program(t, "xmllint"), "--html", "--noout", path)
			out, _ := c.CombinedOutput()
			for line := range strings.SplitSeq(string(out), "\n") {
				if strings.Contains(line, "error") && !strings.Contains(line, "Tag ") {
					t.Error(line)
				}
			}
			text := run(t, "xmllint", "--html", "--xpath", "string(//main)", path)
			says(t, text, told(g))
		})
	}
}

// TestPDFHolds checks every example's file with qpdf, and reads it with pdftotext:
// without layout, on one column, it reads in the order of the page.
func TestPDFHolds(t *testing.T) {
	for _, name := range designs.Names() {
		t.Run(name, func(t *testing.T) {
			g, _ := example(t, name, Options{Pictures: true, Copies: 2})
			path := saved(t, "guide.pdf", pdf(t, g, "A5", draw.Portrait))
			run(t, "qpdf", "--check", path)
			text := run(t, "pdftotext", "-raw", path, "-")
			text = regexp.MustCompile(`(?m)^.*Page \d+ of \d+\n?`).ReplaceAllString(strings.ReplaceAll(text, "\f", ""), "")
			var list []string
			for _, s := range g.Steps {
				list = append(list, strconv.Itoa(s.Number)+". "+s.Title)
				list = append(list, s.Text...)
				if len(s.Joints) > 0 {
					letters := make([]string, len(s.Joints))
					for i, j := range s.Joints {
						letters[i] = j.Letter
					}
					list = append(list, english.match+": "+strings.Join(letters, ", "))
				}
			}
			says(t, text, list)
		})
	}
}

// TestPDFOnEveryPaper writes on papers and both ways round; what a page is too
// small for is refused.
func TestPDFOnEveryPaper(t *testing.T) {
	g, _ := example(t, "harbour", Options{Pictures: true})
	for _, paper := range []string{"A3", "A4", "A5", "A6", "Letter"} {
		for _, held := range []draw.Orientation{draw.Portrait, draw.Landscape} {
			path := saved(t, "guide.pdf", pdf(t, g, paper, held))
			run(t, "qpdf", "--check", path)
		}
	}
	if err := WritePDF(&bytes.Buffer{}, g, PDFOptions{Paper: draw.Paper{Width: 50, Height: 70}}); err == nil {
		t.Error("a page of 50 by 70 mm takes a guide")
	}
}

// TestStepsStayTogether looks where pdftotext finds the words of each step on A4:
// the first and the last of them are on one page.
func TestStepsStayTogether(t *testing.T) {
	for _, name := range []string{"harbour", "crate", "harbour_office"} {
		g, _ := example(t, name, Options{Pictures: true})
		path := saved(t, "guide.pdf", pdf(t, g, "A4", draw.Portrait))
		pages := strings.Split(run(t, "pdftotext", "-raw", path, "-"), "\f")
		pageOf := func(s string) int {
			for i, text := range pages {
				if strings.Contains(space.ReplaceAllString(text, " "), s) {
					return i
				}
			}
			return -1
		}
		for _, s := range g.Steps {
			title := strconv.Itoa(s.Number) + ". " + s.Title
			page := pageOf(title)
			if page < 0 {
				t.Errorf("%s: no %q", name, title)
				continue
			}
			text := space.ReplaceAllString(pages[page], " ")
			_, after, _ := strings.Cut(text, title)
			for _, words := range append([]string{s.Caption, s.Wait}, s.Text...) {
				if !strings.Contains(after, words) {
					t.Errorf("%s: %q is not on the page of %q", name, words, title)
				}
			}
		}
	}
}
