package site

import (
	"regexp"
	"strings"
	"testing"

	"foldwright/openapi"

	"github.com/getkin/kin-openapi/openapi3"
)

func contract(t *testing.T) *openapi3.T {
	t.Helper()
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// The reference has every operation, every parameter and every type of the
// contract.
func TestReferenceHasEverything(t *testing.T) {
	doc := contract(t)
	page, err := Reference(doc)
	if err != nil {
		t.Fatal(err)
	}
	text := string(page.HTML)
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			_, article, found := strings.Cut(text, `<article id="`+anchor("op", op.OperationID)+`">`)
			if !found {
				t.Errorf("%s %s is missing", method, path)
				continue
			}
			article, _, _ = strings.Cut(article, "</article>")
			if !strings.Contains(article, "<b>"+method+"</b> "+path+"</p>") {
				t.Errorf("%s does not say %s %s", op.OperationID, method, path)
			}
			for _, p := range op.Parameters {
				if !strings.Contains(article, "<code>"+p.Value.Name+"</code>") {
					t.Errorf("%s says nothing of %s", op.OperationID, p.Value.Name)
				}
			}
			for status := range op.Responses.Map() {
				if !strings.Contains(article, `<th scope="row">`+status+` `) {
					t.Errorf("%s says nothing of %s", op.OperationID, status)
				}
			}
		}
	}
	for name, s := range doc.Components.Schemas {
		_, article, found := strings.Cut(text, `<article id="`+anchor("schema", name)+`">`)
		if !found {
			t.Errorf("%s is missing", name)
			continue
		}
		article, _, _ = strings.Cut(article, "</article>")
		for field := range s.Value.Properties {
			if !strings.Contains(article, "<code>"+field+"</code>") {
				t.Errorf("%s has no field %s", name, field)
			}
		}
	}
}

// Every link within the reference leads somewhere, and no place has the name of
// another.
func TestReferenceLinks(t *testing.T) {
	page, err := Reference(contract(t))
	if err != nil {
		t.Fatal(err)
	}
	ids := map[string]int{}
	for _, m := range regexp.MustCompile(` id="([^"]+)"`).FindAllSubmatch(page.HTML, -1) {
		ids[string(m[1])]++
	}
	for id, n := range ids {
		if n > 1 {
			t.Errorf("%d places are called %s", n, id)
		}
	}
	links := regexp.MustCompile(`href="#([^"]+)"`).FindAllSubmatch(page.HTML, -1)
	if len(links) == 0 {
		t.Error("there are no links")
	}
	for _, m := range links {
		if ids[string(m[1])] == 0 {
			t.Errorf("nothing is called %s", m[1])
		}
	}
}

// Words of the contract are shown, not obeyed.
func TestReferenceEscapes(t *testing.T) {
	doc := contract(t)
	const word = `<img src=x onerror="alert(1)">`
	doc.Info.Description = word
	doc.Components.Schemas["Units"].Value.Description = "`" + word + "`"
	doc.Components.Schemas["Units"].Value.Pattern = word
	page, err := Reference(doc)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(page.HTML), "<img") {
		t.Error("a description became part of the page")
	}
	// At the top, in the type, and wherever the type is used.
	if got := strings.Count(string(page.HTML), "&lt;img src=x"); got < 3 {
		t.Errorf("shown %d times", got)
	}
}

func TestProse(t *testing.T) {
	for _, row := range []struct{ text, want string }{
		{"", ""},
		{"A `tab` & a **slot**.", "<p>A <code>tab</code> &amp; a <strong>slot</strong>.</p>\n"},
		{"One.\n\nTwo,\nstill.\n", "<p>One.</p>\n<p>Two,\nstill.</p>\n"},
		{"`a < b`", "<p><code>a &lt; b</code></p>\n"},
	} {
		if got := string(prose(row.text)); got != row.want {
			t.Errorf("%q becomes %q, want %q", row.text, got, row.want)
		}
	}
}

// The policy allows just the styles and scripts that stand in the page.
func TestPolicy(t *testing.T) {
	got := policy([]byte("<style>a{}</style><svg><style>b{}</style></svg><script>c()</script>"), framedByAll)
	for _, part := range []string{
		"default-src 'none'",
		// openssl dgst -sha256 -binary | base64 of "a{}", "b{}" and "c()"
		"style-src 'sha256-X1RutGBrXCt9KkSaXMK7tHftWiRscFHOhxsS8tv8hBk=' 'sha256-7yqHVAesot11p6HczDsgKRipvI5UPgs97z80zNXlans='",
		"script-src 'sha256-uv6BXxguRKhBqgeOtcyTvppA2Vttceh37dUo7xwS8Ug='",
		"frame-ancestors *",
	} {
		if !strings.Contains(got, part) {
			t.Errorf("%s is not in %s", part, got)
		}
	}
	if plain := policy([]byte("<p>"), framedByNobody); !strings.Contains(plain, "script-src 'none'") || !strings.Contains(plain, "frame-ancestors 'none'") {
		t.Errorf("a page without scripts has %s", plain)
	}
}
