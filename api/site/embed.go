package site

import (
	_ "embed"
	"html/template"
	"strconv"
)

// Embed is a picture with a slider, to be put into another page.
type Embed struct {
	Title string
	// Picture is a moving SVG whose frames are evenly spaced openings, each a
	// group of the class view-frame. Without scripts it plays by itself.
	Picture template.HTML
	Frames  int
	First   int     // frame shown at first
	OpensTo float64 // degrees, of the last frame
}

//go:embed embed.html
var embedText string

//go:embed embed.css
var embedStyle template.CSS

//go:embed embed.js
var embedScript template.JS

var embedPage = parse("embed", embedText)

// Page makes the page.
func (e Embed) Page() (*Page, error) {
	return newPage(embedPage, struct {
		Embed
		Style  template.CSS
		Script template.JS
		Last   int
		// OpensTo hides the number of the same name: a template would write
		// it with an exponent where that is shorter.
		OpensTo string
	}{e, embedStyle, embedScript, e.Frames - 1, strconv.FormatFloat(e.OpensTo, 'f', -1, 64)}, framedByAll)
}
