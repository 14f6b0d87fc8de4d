package site

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html/template"
	"regexp"
	"strings"
)

// Page is a page and the policy that lets a browser load only what belongs to
// it (Content-Security-Policy).
type Page struct {
	HTML   []byte
	Policy string
	Framed bool // pages of anyone may show it inside them
}

//go:embed style.css
var style string

// framing says which pages may show a page inside them.
type framing string

const (
	framedByNobody framing = "'none'"
	framedByAll    framing = "*"
)

// Whole is a page that was made elsewhere, with the policy for what is in it.
func Whole(html []byte) *Page { return &Page{HTML: html, Policy: policy(html, framedByNobody)} }

func newPage(t *template.Template, data any, by framing) (*Page, error) {
	var out bytes.Buffer
	if err := t.Execute(&out, data); err != nil {
		return nil, err
	}
	return &Page{HTML: out.Bytes(), Policy: policy(out.Bytes(), by), Framed: by == framedByAll}, nil
}

var (
	styles  = regexp.MustCompile(`(?s)<style>(.*?)</style>`)
	scripts = regexp.MustCompile(`(?s)<script>(.*?)</script>`)
)

// policy allows the styles and scripts that stand in the page, by their hashes,
// pictures of the same service, and nothing else.
func policy(page []byte, by framing) string {
	list := []string{
		"default-src 'none'",
		"img-src 'self' data:",
		"style-src " + hashes(styles, page),
		"script-src " + hashes(scripts, page),
		"base-uri 'none'",
		"form-action 'none'",
		"frame-ancestors " + string(by),
	}
	return strings.Join(list, "; ")
}

func hashes(of *regexp.Regexp, page []byte) string {
	var list []string
	for _, m := range of.FindAllSubmatch(page, -1) {
		sum := sha256.Sum256(m[1])
		list = append(list, "'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"'")
	}
	if len(list) == 0 {
		return "'none'"
	}
	return strings.Join(list, " ")
}

// parse reads a template that has the style of all pages.
func parse(name, text string) *template.Template {
	return template.Must(template.New(name).Funcs(template.FuncMap{
		"style":  func() template.CSS { return template.CSS(style) },
		"icon":   func() template.URL { return icon },
		"prose":  prose,
		"line":   line,
		"anchor": anchor,
	}).Parse(text))
}

// icon is a spread with a fold standing on it.
const icon template.URL = "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 32 32'%3E" +
	"%3Cpath d='M2 14 16 20V30L2 24Z' fill='%23d9cfb8'/%3E%3Cpath d='M30 14 16 20V30l14-6Z' fill='%23ece4d2'/%3E" +
	"%3Cpath d='M9 17 16 3V20Z' fill='%231d6a77'/%3E%3Cpath d='M23 17 16 3V20Z' fill='%233f97a3'/%3E%3C/svg%3E"
