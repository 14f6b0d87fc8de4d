package site

import (
	_ "embed"
	"html/template"
)

// Start is what the page at the root tells.
type Start struct {
	Release  string
	Lines    []string // to try in a shell
	Front    string   // the example shown first
	Examples []Example
}

// Example is a design that comes with the service.
type Example struct{ Name, Title, Notes string }

//go:embed start.html
var startText string

//go:embed start.css
var startStyle template.CSS

var startPage = parse("start", startText)

// Page makes the page.
func (s Start) Page() (*Page, error) {
	return newPage(startPage, struct {
		Start
		Style template.CSS
	}{s, startStyle}, framedByNobody)
}
