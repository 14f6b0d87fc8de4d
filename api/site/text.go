package site

import (
	"html"
	"html/template"
	"regexp"
	"strings"
)

var (
	code       = regexp.MustCompile("`([^`]+)`")
	strong     = regexp.MustCompile(`\*\*([^*]+)\*\*`)
	paragraphs = regexp.MustCompile(`\n\s*\n`)
)

// line writes the little Markdown that the contract's descriptions use: code
// and strong words.
func line(text string) template.HTML {
	safe := html.EscapeString(strings.TrimSpace(text))
	safe = code.ReplaceAllString(safe, "<code>$1</code>")
	return template.HTML(strong.ReplaceAllString(safe, "<strong>$1</strong>"))
}

// prose is line with paragraphs.
func prose(text string) template.HTML {
	var out strings.Builder
	for _, paragraph := range paragraphs.Split(strings.TrimSpace(text), -1) {
		if paragraph != "" {
			out.WriteString("<p>" + string(line(paragraph)) + "</p>\n")
		}
	}
	return template.HTML(out.String())
}
