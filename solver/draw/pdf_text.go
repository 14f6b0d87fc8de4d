package draw

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// cluster is a letter with the marks that belong to it, as it will be set:
// codes that stand in a line, and marks placed over them.
type cluster struct {
	code    int
	marks   []placedMark
	advance float64 // thousandths of the font size, like all here
}

type placedMark struct {
	code                int
	right, up, advances float64 // of the mark's origin from the letter's
}

// markForm is how a combining mark is drawn with a sign of the font, for
// letters that the font does not have whole.
type markForm struct {
	sign  rune
	place markPlace
}

type markPlace uint8

const (
	aboveLetter markPlace = iota
	belowLetter
	besideTop // a horn
)

var markForms = map[rune]markForm{
	0x0300: {'`', aboveLetter}, 0x0301: {'´', aboveLetter}, 0x0302: {'ˆ', aboveLetter}, 0x0303: {'˜', aboveLetter},
	0x0304: {'¯', aboveLetter}, 0x0306: {'˘', aboveLetter}, 0x0307: {'˙', aboveLetter}, 0x0308: {'¨', aboveLetter},
	0x0309: {'’', aboveLetter}, 0x030A: {'˚', aboveLetter}, 0x030B: {'˝', aboveLetter}, 0x030C: {'ˇ', aboveLetter},
	0x0313: {'’', aboveLetter}, 0x031B: {'’', besideTop},
	0x0323: {'˙', belowLetter}, 0x0324: {'¨', belowLetter}, 0x0325: {'˚', belowLetter}, 0x0326: {',', belowLetter},
	0x0327: {'¸', belowLetter}, 0x0328: {'˛', belowLetter}, 0x032D: {'ˆ', belowLetter}, 0x032E: {'˘', belowLetter},
	0x0330: {'˜', belowLetter}, 0x0331: {'¯', belowLetter},
}

// standIns are characters that look like another and may lack a glyph.
var standIns = map[rune]rune{
	0x2010: '-', 0x2011: '-', 0x2012: '–', 0x2032: '\'', 0x2033: '"', 0x202F: ' ', 0x2212: '−',
}

// markGap is left between a letter and its marks.
const markGap = 60

// clusters cuts a line of text into letters with their marks. Control
// characters become blanks.
func (f *pdfFont) clusters(s string) []cluster {
	var out []cluster
	runes := []rune(norm.NFC.String(s))
	for i := 0; i < len(runes); {
		n := i + 1
		for n < len(runes) && unicode.Is(unicode.Mn, runes[n]) {
			n++
		}
		out = append(out, f.cluster(runes[i], string(runes[i:n])))
		i = n
	}
	return out
}

func (f *pdfFont) cluster(first rune, s string) cluster {
	whole := len(s) == len(string(first))
	glyph := f.index(&f.buf, first)
	switch {
	case unicode.IsControl(first):
		glyph, s = f.index(&f.buf, ' '), " "
	case glyph != 0 && whole:
	case glyph == 0 && whole && unicode.Is(unicode.Zs, first):
		glyph = f.index(&f.buf, ' ')
	case glyph == 0 && whole && standIns[first] != 0:
		glyph = f.index(&f.buf, standIns[first])
	default:
		if c, ok := f.composed(s); ok {
			return c
		}
	}
	// A character the font lacks shows as its empty box and still reads back.
	return cluster{code: f.code(glyph, s), advance: f.perMille(f.advance(&f.buf, glyph))}
}

// composed sets a letter and its marks from signs of their own.
func (f *pdfFont) composed(s string) (cluster, bool) {
	parts := []rune(norm.NFD.String(s))
	letter, marks := parts[0], parts[1:]
	if letter == 'i' && len(marks) > 0 {
		if form, ok := markForms[marks[len(marks)-1]]; ok && form.place == aboveLetter {
			letter = 'ı' // a mark above takes the place of the dot
		}
	}
	glyph := f.index(&f.buf, letter)
	if glyph == 0 || len(marks) == 0 {
		return cluster{}, false
	}
	c := cluster{code: f.code(glyph, s), advance: f.perMille(f.advance(&f.buf, glyph))}
	left, bottom, right, top := f.box(glyph)
	high, low := f.perMille(top), f.perMille(bottom)
	for _, m := range marks {
		form, ok := markForms[m]
		if !ok {
			continue // has no sign; the reader's text keeps it
		}
		g := f.index(&f.buf, form.sign)
		x0, y0, x1, y1 := f.box(g)
		p := placedMark{code: f.code(g, string(m)), advances: f.perMille(f.advance(&f.buf, g))}
		p.right = f.perMille(left+right-x0-x1) / 2
		switch form.place {
		case aboveLetter:
			p.up = high + markGap - f.perMille(y0)
			high += markGap + f.perMille(y1-y0)
		case belowLetter:
			p.up = low - markGap - f.perMille(y1)
			low -= markGap + f.perMille(y1-y0)
		case besideTop:
			p.right = f.perMille(right - (x0+x1)/2)
			p.up = f.perMille(top - y1 + (y1-y0)/2)
		}
		c.marks = append(c.marks, p)
	}
	return c, true
}

// width is the length of a line of text at a font size.
func (f *pdfFont) width(s string, size float64) float64 {
	sum := 0.0
	for _, c := range f.clusters(s) {
		sum += c.advance
	}
	return sum * size / 1000
}

// wrap breaks words into lines of a width. A word that is wider than a line is
// broken where the line is full.
func (f *pdfFont) wrap(s string, size, width float64) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(s) {
		longer := strings.TrimPrefix(line+" "+word, " ")
		if line != "" && f.width(longer, size) > width {
			lines = append(lines, line)
			longer = word
		}
		for f.width(longer, size) > width {
			letters := []rune(longer)
			n := 1
			for n < len(letters) && f.width(string(letters[:n+1]), size) <= width {
				n++
			}
			if n == len(letters) {
				break
			}
			lines = append(lines, string(letters[:n]))
			longer = string(letters[n:])
		}
		line = longer
	}
	return append(lines, line)
}

// show writes the operators that set a line of text at the text matrix.
func (f *pdfFont) show(c *pdfContent, s string, size float64) {
	var run []byte
	flush := func() {
		if len(run) > 0 {
			c.raw("<" + string(run) + "> Tj\n")
			run = run[:0]
		}
	}
	for _, k := range f.clusters(s) {
		if len(k.marks) == 0 {
			run = fmt.Appendf(run, "%04X", k.code)
			continue
		}
		flush()
		c.raw(fmt.Sprintf("<%04X> Tj\n", k.code))
		// The letter's code reads as the whole, so its marks read as nothing.
		c.raw("/Span <</ActualText ()>> BDC\n")
		for _, m := range k.marks {
			c.op("Ts", m.up*size/1000)
			// Numbers of TJ move back, in thousandths.
			c.raw("[")
			c.numbers(k.advance - m.right)
			c.raw(fmt.Sprintf("<%04X> ", m.code))
			c.numbers(m.advances - k.advance + m.right)
			c.raw("] TJ\n")
		}
		c.raw("0 Ts\nEMC\n")
	}
	flush()
}
