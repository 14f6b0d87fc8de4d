package draw

import (
	"crypto/sha256"
	"fmt"
	"strconv"
	"unicode/utf16"

	"foldwright/solver/geom"
)

// pdfFile collects numbered objects. Source of the structure: ISO 32000-1,
// chapter 7. Streams stay uncompressed: the bytes then do not depend on the
// release of a compression library, and a reader may look into the file.
type pdfFile struct {
	b       []byte
	offsets []int // of object i+1; 0 while only its number is given out
}

func newPDFFile() *pdfFile {
	// Four bytes above 127 tell programs that move files to leave them alone.
	return &pdfFile{b: []byte("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")}
}

// reserve gives out a number for an object that others point to before it is
// written.
func (f *pdfFile) reserve() int {
	f.offsets = append(f.offsets, 0)
	return len(f.offsets)
}

func (f *pdfFile) begin(id int) {
	f.offsets[id-1] = len(f.b)
	f.b = strconv.AppendInt(f.b, int64(id), 10)
	f.b = append(f.b, " 0 obj\n"...)
}

// object writes an object under a reserved number.
func (f *pdfFile) object(id int, body string) {
	f.begin(id)
	f.b = append(append(f.b, body...), "\nendobj\n"...)
}

// add writes an object under the next number.
func (f *pdfFile) add(body string) int {
	id := f.reserve()
	f.object(id, body)
	return id
}

// stream writes a stream whose dictionary has more entries than its length.
func (f *pdfFile) stream(entries string, data []byte) int {
	id := f.reserve()
	f.begin(id)
	f.b = append(f.b, fmt.Sprintf("<<%s /Length %d>>\nstream\n", entries, len(data))...)
	f.b = append(append(f.b, data...), "\nendstream\nendobj\n"...)
	return id
}

// finish writes the table of objects. The file's identifier is made from its
// content, so the same drawing has the same identifier.
func (f *pdfFile) finish(root, info int) []byte {
	sum := sha256.Sum256(f.b)
	at := len(f.b)
	f.b = append(f.b, fmt.Sprintf("xref\n0 %d\n0000000000 65535 f \n", len(f.offsets)+1)...)
	for _, o := range f.offsets {
		f.b = append(f.b, fmt.Sprintf("%010d 00000 n \n", o)...)
	}
	f.b = append(f.b, fmt.Sprintf("trailer\n<</Size %d /Root %d 0 R /Info %d 0 R /ID [<%x> <%x>]>>\nstartxref\n%d\n%%%%EOF\n",
		len(f.offsets)+1, root, info, sum[:16], sum[:16], at)...)
	return f.b
}

// pdfString is a text string (7.9.2.2): plain where ASCII does, UTF-16 else.
func pdfString(s string) string {
	plain := true
	for _, r := range s {
		plain = plain && r >= 0x20 && r < 0x7f
	}
	if !plain {
		return "<FEFF" + pdfHex(s) + ">"
	}
	b := []byte{'('}
	for _, c := range []byte(s) {
		if c == '(' || c == ')' || c == '\\' {
			b = append(b, '\\')
		}
		b = append(b, c)
	}
	return string(append(b, ')'))
}

// pdfHex is a string in UTF-16 units, as digits.
func pdfHex(s string) string {
	var b []byte
	for _, u := range utf16.Encode([]rune(s)) {
		b = fmt.Appendf(b, "%04X", u)
	}
	return string(b)
}

// pdfNumber is a number of a dictionary.
func pdfNumber(v float64) string { return string(geom.AppendNumber(nil, v, pdfDecimals)) }
