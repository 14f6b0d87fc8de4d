package draw

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// trueType is a font program taken apart into its tables. Source: the OpenType
// specification, chapters glyf, loca, hmtx, head.
type trueType struct {
	name     string
	tables   map[string][]byte
	sfnt     *sfnt.Font
	unitsEm  int
	glyphs   int
	longLoca bool
}

// loadFont reads the font of all words, or its bold face for headings: a
// sans-serif with the Latin, Greek and Cyrillic letters of WGL4, which comes as
// a Go package and may be embedded.
func loadFont(face Face) *trueType {
	name, data := "GoRegular", goregular.TTF
	if face == Bold {
		name, data = "GoBold", gobold.TTF
	}
	f, err := sfnt.Parse(data)
	if err != nil {
		panic(fmt.Sprintf("draw: the font cannot be read: %v", err)) // it is part of the program
	}
	t := &trueType{name: name, tables: map[string][]byte{}, sfnt: f, unitsEm: int(f.UnitsPerEm()), glyphs: f.NumGlyphs()}
	for i := range int(binary.BigEndian.Uint16(data[4:])) {
		e := data[12+16*i:]
		at, n := binary.BigEndian.Uint32(e[8:]), binary.BigEndian.Uint32(e[12:])
		t.tables[string(e[:4])] = data[at : at+n]
	}
	t.longLoca = binary.BigEndian.Uint16(t.tables["head"][50:]) == 1
	return t
}

// index is the glyph of a character, 0 when there is none.
func (t *trueType) index(b *sfnt.Buffer, r rune) int {
	g, err := t.sfnt.GlyphIndex(b, r)
	if err != nil {
		return 0
	}
	return int(g)
}

// advance is the width of a glyph in font units.
func (t *trueType) advance(b *sfnt.Buffer, glyph int) int {
	a, err := t.sfnt.GlyphAdvance(b, sfnt.GlyphIndex(glyph), fixed.I(t.unitsEm), font.HintingNone)
	if err != nil {
		return 0
	}
	return a.Round()
}

// outline is a glyph's entry in glyf, empty for a blank.
func (t *trueType) outline(glyph int) []byte {
	loca, glyf := t.tables["loca"], t.tables["glyf"]
	if t.longLoca {
		return glyf[binary.BigEndian.Uint32(loca[4*glyph:]):binary.BigEndian.Uint32(loca[4*glyph+4:])]
	}
	return glyf[2*int(binary.BigEndian.Uint16(loca[2*glyph:])) : 2*int(binary.BigEndian.Uint16(loca[2*glyph+2:]))]
}

// box is the extent of a glyph in font units.
func (t *trueType) box(glyph int) (xMin, yMin, xMax, yMax int) {
	g := t.outline(glyph)
	if len(g) < 10 {
		return 0, 0, 0, 0
	}
	at := func(i int) int { return int(int16(binary.BigEndian.Uint16(g[i:]))) }
	return at(2), at(4), at(6), at(8)
}

// Flags of the components of a composite glyph.
const (
	argsAreWords     = 0x0001
	haveScale        = 0x0008
	moreComponents   = 0x0020
	haveTwoScales    = 0x0040
	haveTwoByTwo     = 0x0080
	haveInstructions = 0x0100
)

// unhinted copies a glyph without its hinting program, whose subroutines a
// subset leaves out, and lists the glyphs it is composed of.
func unhinted(g []byte) (out []byte, components []int) {
	if len(g) == 0 {
		return nil, nil
	}
	u16 := func(i int) int { return int(binary.BigEndian.Uint16(g[i:])) }
	if contours := int(int16(u16(0))); contours >= 0 {
		at := 10 + 2*contours // of the length of the program
		n := u16(at)
		out = append(slices.Clone(g[:at]), 0, 0)
		return append(out, g[at+2+n:]...), nil
	}
	at := 10
	for {
		flags := u16(at)
		components = append(components, u16(at+2))
		size := 6
		if flags&argsAreWords != 0 {
			size += 2
		}
		switch {
		case flags&haveScale != 0:
			size += 2
		case flags&haveTwoScales != 0:
			size += 4
		case flags&haveTwoByTwo != 0:
			size += 8
		}
		at += size
		if flags&moreComponents == 0 {
			break
		}
	}
	out = slices.Clone(g[:at])
	at = 10
	for range components {
		flags := int(binary.BigEndian.Uint16(out[at:]))
		binary.BigEndian.PutUint16(out[at:], uint16(flags&^haveInstructions))
		at += 6
		if flags&argsAreWords != 0 {
			at += 2
		}
		switch {
		case flags&haveScale != 0:
			at += 2
		case flags&haveTwoScales != 0:
			at += 4
		case flags&haveTwoByTwo != 0:
			at += 8
		}
	}
	return out, components
}

// subset makes a font program with the given glyphs and what they are composed
// of, under their old numbers.
func (t *trueType) subset(used []int) []byte {
	keep := map[int][]byte{}
	last := 0
	var take func(g int)
	take = func(g int) {
		if _, done := keep[g]; done {
			return
		}
		data, parts := unhinted(t.outline(g))
		keep[g] = data
		last = max(last, g)
		for _, p := range parts {
			take(p)
		}
	}
	take(0)
	for _, g := range used {
		take(g)
	}
	count := last + 1

	var glyf, loca, hmtx []byte
	metrics := int(binary.BigEndian.Uint16(t.tables["hhea"][34:]))
	for g := range count {
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
		glyf = append(glyf, keep[g]...)
		for len(glyf)%4 != 0 {
			glyf = append(glyf, 0)
		}
		// Full entries for all: advance of the last one repeats, bearings go on.
		long := min(g, metrics-1)
		hmtx = append(hmtx, t.tables["hmtx"][4*long:4*long+2]...)
		if g < metrics {
			hmtx = append(hmtx, t.tables["hmtx"][4*g+2:4*g+4]...)
		} else {
			at := 4*metrics + 2*(g-metrics)
			hmtx = append(hmtx, t.tables["hmtx"][at:at+2]...)
		}
	}
	loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))

	head := slices.Clone(t.tables["head"])
	binary.BigEndian.PutUint32(head[8:], 0)  // sum of the file, below
	binary.BigEndian.PutUint16(head[50:], 1) // long offsets
	hhea := slices.Clone(t.tables["hhea"])
	binary.BigEndian.PutUint16(hhea[34:], uint16(count))
	maxp := slices.Clone(t.tables["maxp"])
	binary.BigEndian.PutUint16(maxp[4:], uint16(count))
	clear(maxp[14:28]) // zones, storage, functions, stack and size of hinting programs
	binary.BigEndian.PutUint16(maxp[14:], 1)

	tables := []struct {
		tag  string
		data []byte
	}{{"glyf", glyf}, {"head", head}, {"hhea", hhea}, {"hmtx", hmtx}, {"loca", loca}, {"maxp", maxp}}
	// Header: the search fields are for 6 tables, 2² being the power below.
	out := []byte{0, 1, 0, 0, 0, 6, 0, 64, 0, 2, 0, 32}
	offset, headAt := 12+16*len(tables), 0
	var body []byte
	for _, b := range tables {
		out = append(out, b.tag...)
		for _, n := range []uint32{tableSum(b.data), uint32(offset + len(body)), uint32(len(b.data))} {
			out = binary.BigEndian.AppendUint32(out, n)
		}
		if b.tag == "head" {
			headAt = offset + len(body)
		}
		body = append(body, b.data...)
		for len(body)%4 != 0 {
			body = append(body, 0)
		}
	}
	out = append(out, body...)
	binary.BigEndian.PutUint32(out[headAt+8:], 0xB1B0AFBA-tableSum(out))
	return out
}

// tableSum is the sum of the big-endian words, zeros added at the end.
func tableSum(data []byte) uint32 {
	sum := uint32(0)
	for i := 0; i < len(data); i += 4 {
		var word [4]byte
		copy(word[:], data[i:])
		sum += binary.BigEndian.Uint32(word[:])
	}
	return sum
}

// pdfCode is a character code of the file's font: one glyph and the characters
// it stands for, so that each code reads back as what was written.
type pdfCode struct {
	glyph int
	s     string
}

// pdfFont gives out codes as words are set, and writes what they need.
type pdfFont struct {
	*trueType
	buf   sfnt.Buffer
	codes []pdfCode // code i+1
	known map[pdfCode]int
}

func newPDFFont(face Face) *pdfFont {
	return &pdfFont{trueType: loadFont(face), known: map[pdfCode]int{}}
}

func (f *pdfFont) code(glyph int, s string) int {
	k := pdfCode{glyph, s}
	n, ok := f.known[k]
	if !ok {
		f.codes = append(f.codes, k)
		n = len(f.codes)
		f.known[k] = n
	}
	return n
}

// perMille is font units in thousandths of the font size, as PDF counts.
func (f *pdfFont) perMille(units int) float64 { return float64(units) * 1000 / float64(f.unitsEm) }

// capitals is the height of capitals as a part of the font size.
func (f *pdfFont) capitals() float64 {
	_, _, _, top := f.box(f.index(&f.buf, 'H'))
	return float64(top) / float64(f.unitsEm)
}

// write adds the font to a file: a composite font with two-byte codes
// (ISO 32000-1, 9.7), its program and its map back to Unicode.
func (f *pdfFont) write(file *pdfFile) int {
	var used []int
	gids := []byte{0, 0}
	var widths strings.Builder
	for _, c := range f.codes {
		used = append(used, c.glyph)
		gids = binary.BigEndian.AppendUint16(gids, uint16(c.glyph))
		widths.WriteString(" " + pdfNumber(f.perMille(f.advance(&f.buf, c.glyph))))
	}
	program := f.subset(used)
	// Six letters tell subsets of one font apart (9.6.4).
	sum := sha256.Sum256(program)
	tag := make([]byte, 6)
	for i := range tag {
		tag[i] = 'A' + sum[i]%26
	}
	name := string(tag) + "+" + f.name

	head, hhea := f.tables["head"], f.tables["hhea"]
	metric := func(table []byte, at int) string {
		return pdfNumber(f.perMille(int(int16(binary.BigEndian.Uint16(table[at:])))))
	}
	programID := file.stream(fmt.Sprintf("/Length1 %d", len(program)), program)
	descriptor := file.add(fmt.Sprintf("<</Type /FontDescriptor /FontName /%s /Flags 4 /FontBBox [%s %s %s %s] /ItalicAngle 0"+
		" /Ascent %s /Descent %s /CapHeight %s /StemV 80 /FontFile2 %d 0 R>>",
		name, metric(head, 36), metric(head, 38), metric(head, 40), metric(head, 42),
		metric(hhea, 4), metric(hhea, 6), pdfNumber(1000*f.capitals()), programID))
	gidID := file.stream("", gids)
	descendant := file.add(fmt.Sprintf("<</Type /Font /Subtype /CIDFontType2 /BaseFont /%s"+
		" /CIDSystemInfo <</Registry (Adobe) /Ordering (Identity) /Supplement 0>>"+
		" /FontDescriptor %d 0 R /DW 0 /W [1 [%s]] /CIDToGIDMap %d 0 R>>",
		name, descriptor, strings.TrimPrefix(widths.String(), " "), gidID))
	unicode := file.stream("", f.toUnicode())
	return file.add(fmt.Sprintf("<</Type /Font /Subtype /Type0 /BaseFont /%s /Encoding /Identity-H /DescendantFonts [%d 0 R] /ToUnicode %d 0 R>>",
		name, descendant, unicode))
}

// toUnicode is the map from codes to characters (9.10.3), a hundred a block.
func (f *pdfFont) toUnicode() []byte {
	b := []byte("/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n" +
		"/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def\n" +
		"/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n" +
		"1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n")
	for at := 0; at < len(f.codes); at += 100 {
		block := f.codes[at:min(at+100, len(f.codes))]
		b = fmt.Appendf(b, "%d beginbfchar\n", len(block))
		for i, c := range block {
			b = fmt.Appendf(b, "<%04X> <%s>\n", at+i+1, pdfHex(c.s))
		}
		b = append(b, "endbfchar\n"...)
	}
	return append(b, "endcmap\nCMapName currentdict /CMap defineresource pop\n"+"end\n"+"end"...)
}
