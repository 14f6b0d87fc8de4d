package draw

import (
	"fmt"
	"strings"
	"unicode/utf16"
)

// dxfText writes a string as release 2000 carries it: everything outside
// ASCII as \U+XXXX in UTF-16 units. A backslash goes the same way, since it
// would begin such a code; "^" begins a control character and "%%" a control
// code, and both have escapes of their own.
func dxfText(s string) string {
	var b strings.Builder
	for i, r := range s {
		switch {
		case r < 0x20 || r == 0x7F:
			b.WriteByte(' ')
		case r == '^':
			b.WriteString("^ ")
		case r == '%' && (strings.HasSuffix(s[:i], "%") || strings.HasPrefix(s[i+1:], "%")):
			b.WriteString("%%%") // the code for one per cent sign
		case r < 0x7F && r != '\\':
			b.WriteRune(r)
		default:
			for _, u := range utf16.Encode([]rune{r}) {
				fmt.Fprintf(&b, `\U+%04X`, u)
			}
		}
	}
	return b.String()
}

// nameBytes is the longest name of a symbol in release 2000.
const nameBytes = 255

// dxfName makes a legal name of a symbol from s, or from `instead` when
// nothing of s can be one. "0" is the reader's own layer.
func dxfName(s, instead string) string {
	s = strings.Map(func(r rune) rune {
		if r < 0x20 || r == 0x7F || strings.ContainsRune("<>/\\\":;?*|,=`'", r) {
			return '_'
		}
		return r
	}, strings.TrimSpace(s))
	if s == "" || s == "0" {
		s = instead
	}
	for runes := []rune(s); len(dxfText(s)) > nameBytes; s = string(runes) {
		runes = runes[:len(runes)-1]
	}
	return dxfText(s)
}
