package guide

import (
	"bytes"
	"html"
	"io"
	"strconv"
	"strings"

	"foldwright/solver/draw"
)

// style is for the screen and for paper. Colours follow what the reader prefers;
// pictures keep a light ground, which their colours are made for.
const style = `:root{color-scheme:light dark}
body{font:1rem/1.5 system-ui,sans-serif;max-width:60rem;margin:0 auto;padding:1rem}
h1{line-height:1.2;margin-bottom:.2em}h2{border-bottom:1px solid;padding-bottom:.1em;margin-top:2em}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.2em 1em}dt{font-weight:600}dd{margin:0}
table{border-collapse:collapse;width:100%}th,td{text-align:left;padding:.3em .6em;border-bottom:1px solid;vertical-align:middle}
svg{display:block;width:100%;height:auto}
.flat{width:11rem}.flat,figure{background:#fff;border-radius:4px;padding:4px;box-sizing:border-box}
figure{margin:0}figcaption{color:#333;font-size:.85rem;padding:.2em .4em}
.take-care,.first{border:2px solid;border-radius:6px;padding:0 1rem;margin:1rem 0}
ol.steps{list-style:none;padding:0}ol.steps>li{border-top:1px solid;padding:1rem 0;break-inside:avoid}
ol.steps h3{margin:0 0 .5em}.step{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,1fr);gap:1rem}.step.bare{grid-template-columns:1fr}
.letter{display:inline-block;min-width:1.5em;text-align:center;border:1px solid;border-radius:4px;font-weight:700}
@media(max-width:40rem){.step{grid-template-columns:1fr}}
@media print{body{max-width:none;padding:0}tr,h2,h3{break-inside:avoid}h2,h3{break-after:avoid}}`

// WriteHTML writes the guide as one page that needs nothing else: no scripts and
// nothing to fetch.
func WriteHTML(w io.Writer, g *Guide) error {
	p := page{g: g}
	p.text(`<!DOCTYPE html>` + "\n" + `<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><link rel="icon" href="data:,">`)
	p.wrap("title", g.Title+" – "+g.words.guide)
	p.text("<style>" + style + "</style></head>\n<body><main>\n")
	p.front()
	p.parts()
	p.steps()
	p.list(g.words.final, g.Final)
	p.list(g.words.run, g.Run)
	p.jigs()
	p.text("</main></body></html>\n")
	if p.err != nil {
		return p.err
	}
	_, err := w.Write(p.b.Bytes())
	return err
}

type page struct {
	g   *Guide
	b   bytes.Buffer
	err error
}

func (p *page) text(s string) { p.b.WriteString(s) }

func (p *page) wrap(tag, s string) {
	p.text("<" + tag + ">" + html.EscapeString(s) + "</" + tag + ">\n")
}

func (p *page) picture(pic *draw.Picture) {
	if err := draw.WritePicture(&p.b, pic); err != nil {
		p.err = err
	}
}

func (p *page) items(list []string) {
	p.text("<ul>\n")
	for _, s := range list {
		p.wrap("li", s)
	}
	p.text("</ul>\n")
}

func (p *page) list(heading string, list []string) {
	if len(list) == 0 {
		return
	}
	p.text("<section>")
	p.wrap("h2", heading)
	p.items(list)
	p.text("</section>\n")
}

func (p *page) front() {
	g, words := p.g, p.g.words
	p.text("<header>")
	p.wrap("h1", g.Title)
	p.wrap("p", g.Intro)
	p.text("<dl>\n")
	for _, f := range g.Facts {
		p.wrap("dt", f.Name)
		p.wrap("dd", f.Value)
	}
	p.text("</dl></header>\n")
	if len(g.Notices) > 0 {
		p.text(`<section class="first">`)
		p.wrap("h2", words.notices)
		p.items(g.Notices)
		p.text("</section>\n")
	}
	p.text(`<section class="take-care">`)
	p.wrap("h2", words.cautions)
	for _, c := range g.Cautions {
		p.text("<p><strong>" + html.EscapeString(c.Title) + ".</strong> " + html.EscapeString(c.Text) + "</p>\n")
	}
	p.text("</section>\n")
	p.list(words.tools, g.Tools)
	p.list(words.materials, g.Materials)
	p.list(words.reading, g.Reading)
}

func (p *page) parts() {
	g, words := p.g, p.g.words
	p.text("<section>")
	p.wrap("h2", words.parts)
	p.text("<table><thead><tr>")
	if g.Pictures {
		p.text("<td></td>")
	}
	for _, heading := range []string{words.partWord, words.countWord, words.sizeWord, words.letterWord, words.creaseWord} {
		p.text(`<th scope="col">` + html.EscapeString(heading) + "</th>")
	}
	p.text("</tr></thead><tbody>\n")
	for i := range g.Parts {
		part := &g.Parts[i]
		p.text("<tr>")
		if g.Pictures {
			p.text(`<td class="flat">`)
			p.picture(part.Picture)
			p.text("</td>")
		}
		p.text(`<th scope="row">` + html.EscapeString(part.Name) + "</th>")
		for _, cell := range []string{strconv.Itoa(part.Count), part.Size, strings.Join(part.Letters, ", "), part.Creases} {
			p.wrap("td", cell)
		}
		p.text("</tr>\n")
	}
	p.text("</tbody></table></section>\n")
}

func (p *page) steps() {
	p.text("<section>")
	p.wrap("h2", p.g.words.steps)
	p.text(`<ol class="steps">` + "\n")
	for i := range p.g.Steps {
		p.step(&p.g.Steps[i])
	}
	p.text("</ol></section>\n")
}

func (p *page) step(s *Step) {
	words := p.g.words
	number := strconv.Itoa(s.Number)
	p.text(`<li id="step-` + number + `">`)
	p.wrap("h3", number+". "+s.Title)
	if s.Picture != nil {
		p.text(`<div class="step"><figure>`)
		p.picture(s.Picture)
		p.wrap("figcaption", s.Caption)
		p.text("</figure><div>")
	} else {
		p.text(`<div class="step bare"><div>`)
	}
	for _, t := range s.Text {
		p.wrap("p", t)
	}
	if len(s.Joints) > 0 {
		p.text("<p><strong>" + html.EscapeString(words.match) + ":</strong>")
		for _, j := range s.Joints {
			p.text(` <span class="letter">` + html.EscapeString(j.Letter) + "</span>")
		}
		p.text("</p>\n")
	}
	if len(s.Checks) > 0 {
		p.wrap("h4", words.check)
		p.items(s.Checks)
	}
	if s.Wait != "" {
		p.text("<p><strong>" + html.EscapeString(words.wait) + ":</strong> " + html.EscapeString(s.Wait) + "</p>\n")
	}
	p.text("</div></div></li>\n")
}

func (p *page) jigs() {
	g, words := p.g, p.g.words
	if len(g.Jigs) == 0 {
		return
	}
	p.text("<section>")
	p.wrap("h2", words.jigs)
	p.wrap("p", words.jigNote)
	p.text("<table><thead><tr>")
	for _, heading := range []string{words.letterWord, words.partWord, words.whereWord} {
		p.text(`<th scope="col">` + html.EscapeString(heading) + "</th>")
	}
	p.text("</tr></thead><tbody>\n")
	for i := range g.Jigs {
		j := &g.Jigs[i]
		p.text(`<tr><th scope="row">` + html.EscapeString(j.Letter) + "</th>")
		p.wrap("td", g.nameOf(j.Part))
		p.wrap("td", g.Where(j))
		p.text("</tr>\n")
	}
	p.text("</tbody></table></section>\n")
}

// nameOf is the name of a part on the list.
func (g *Guide) nameOf(id string) string {
	for i := range g.Parts {
		if g.Parts[i].ID == id {
			return g.Parts[i].Name
		}
	}
	return id
}
