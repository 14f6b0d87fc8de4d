package draw

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// StyleChange is what a caller wants different in one operation's style. Nil
// keeps what the table has.
type StyleChange struct {
	Layer *string
	Color *string
	Dash  *[]float64 // an empty list makes the line solid
	Width *float64
	ACI   *int // left out beside a color, the index that looks most like it
}

// StyleCode is what is wrong with a style.
type StyleCode string

const (
	UnknownOperation StyleCode = "unknown_operation"
	BadLayerName     StyleCode = "bad_layer_name"
	BadColor         StyleCode = "bad_color"
	BadDash          StyleCode = "bad_dash"
	BadWidth         StyleCode = "bad_width"
	BadColorIndex    StyleCode = "bad_color_index"
)

// StyleError is one fault of a style table. Path leads to the field: the
// operation, the field's name in small letters, and the place in a list.
type StyleError struct {
	Path   []string
	Code   StyleCode
	Detail string
}

func (e StyleError) Error() string { return strings.Join(e.Path, ".") + ": " + e.Detail }

// Pointer is the path as a JSON pointer (RFC 6901).
func (e StyleError) Pointer() string {
	var b strings.Builder
	for _, s := range e.Path {
		b.WriteByte('/')
		b.WriteString(strings.NewReplacer("~", "~0", "/", "~1").Replace(s))
	}
	return b.String()
}

// StyleErrors is every fault of a style table, by operation.
type StyleErrors []StyleError

func (e StyleErrors) Error() string {
	all := make([]string, len(e))
	for i := range e {
		all[i] = e[i].Error()
	}
	return "style table: " + strings.Join(all, "; ")
}

const (
	maxLayerName = 64 // characters; longer names are cut off by readers' lists
	// A plotted pen is 0.05 to 2 mm wide and DXF has weights up to 2.11 mm.
	minStyleWidth, maxStyleWidth = 0.01, 5.0
	// Below a twentieth of a millimetre a dash is a solid line.
	minDash, maxDash = 0.05, 100.0
	// maxDashes is the number of lengths a DXF line type may hold.
	maxDashes = 12
)

// readyStyles are the tables that have a name.
var readyStyles = []struct {
	name  string
	table func() StyleTable
}{
	{"default", DefaultStyles},
	{"monochrome", MonochromeStyles},
}

// StyleNames lists the names of the ready tables.
func StyleNames() []string {
	names := make([]string, len(readyStyles))
	for i := range readyStyles {
		names[i] = readyStyles[i].name
	}
	return names
}

// NamedStyles finds a ready table by name.
func NamedStyles(name string) (StyleTable, bool) {
	for _, ready := range readyStyles {
		if ready.name == name {
			return ready.table(), true
		}
	}
	return StyleTable{}, false
}

// ParseStyles changes a table as a caller asks, keyed by the names of
// operations. The error, if any, is StyleErrors.
func ParseStyles(base StyleTable, changes map[string]StyleChange) (StyleTable, error) {
	out := base
	var unknown StyleErrors
	for _, name := range slices.Sorted(maps.Keys(changes)) {
		op, ok := ParseOperation(name)
		if !ok {
			unknown = append(unknown, StyleError{[]string{name}, UnknownOperation, "there is no such operation"})
			continue
		}
		c, s := changes[name], &out[op]
		if c.Layer != nil {
			s.Layer = *c.Layer
		}
		if c.Color != nil {
			s.Color = *c.Color
		}
		if c.Dash != nil {
			s.Dash = slices.Clone(*c.Dash)
		}
		if c.Width != nil {
			s.Width = *c.Width
		}
		switch _, _, _, err := parseColor(s.Color); {
		case c.ACI != nil:
			s.ACI = *c.ACI
		case c.Color != nil && err == nil:
			s.ACI = nearestIndex(s.Color)
		}
	}
	if faults := append(unknown, out.faults()...); len(faults) > 0 {
		return base, faults
	}
	return out, nil
}

// Check finds everything that would make a file wrong; the error, if any, is
// StyleErrors.
func (t *StyleTable) Check() error {
	if faults := t.faults(); len(faults) > 0 {
		return faults
	}
	return nil
}

func (t *StyleTable) faults() StyleErrors {
	var out StyleErrors
	for i := range t {
		s, name := &t[i], Operation(i).String()
		fault := func(code StyleCode, detail string, path ...string) {
			out = append(out, StyleError{append([]string{name}, path...), code, detail})
		}
		if why := layerFault(s.Layer); why != "" {
			fault(BadLayerName, why, "layer")
		}
		if _, _, _, err := parseColor(s.Color); err != nil {
			fault(BadColor, err.Error(), "color")
		}
		if len(s.Dash)%2 != 0 || len(s.Dash) > maxDashes {
			fault(BadDash, fmt.Sprintf("must hold lines and gaps in turn, at most %d lengths", maxDashes), "dash")
		}
		for j, v := range s.Dash {
			if !(v >= minDash && v <= maxDash) {
				fault(BadDash, fmt.Sprintf("must be from %g to %g mm", minDash, maxDash), "dash", strconv.Itoa(j))
			}
		}
		if !(s.Width >= minStyleWidth && s.Width <= maxStyleWidth) {
			fault(BadWidth, fmt.Sprintf("must be from %g to %g mm", minStyleWidth, maxStyleWidth), "width")
		}
		if s.ACI < 1 || s.ACI > 255 {
			fault(BadColorIndex, "must be from 1 to 255", "color_index")
		}
	}
	return out
}

// layerFault tells why a name cannot be a layer's in every format, "" if it
// can. The signs are those that DXF forbids.
func layerFault(s string) string {
	switch n := utf8.RuneCountInString(s); {
	case !utf8.ValidString(s):
		return "must be Unicode text"
	case n == 0 || strings.TrimSpace(s) != s:
		return "must not be empty, nor begin or end with a blank"
	case n > maxLayerName:
		return fmt.Sprintf("must have at most %d characters", maxLayerName)
	case strings.ContainsAny(s, "<>/\\\":;?*|,=`'"):
		return "must not hold any of < > / \\ \" : ; ? * | , = ` '"
	case strings.IndexFunc(s, unicode.IsControl) >= 0:
		return "must not hold control characters"
	case s == "0" || strings.EqualFold(s, "defpoints") || strings.EqualFold(s, notesLayer):
		return "is a layer that files have of their own"
	}
	return ""
}

// parseColor reads #rrggbb.
func parseColor(s string) (r, g, b uint8, err error) {
	if len(s) != 7 || s[0] != '#' || strings.Trim(s[1:], "0123456789abcdefABCDEF") != "" {
		return 0, 0, 0, fmt.Errorf("must be # and six hexadecimal digits")
	}
	n, err := strconv.ParseUint(s[1:], 16, 32)
	return uint8(n >> 16), uint8(n >> 8), uint8(n), err
}

// LookAlike is two operations whose lines an eye cannot tell apart.
type LookAlike struct {
	A, B Operation
	Eye  string // full, protanopia, deuteranopia or tritanopia
}

// eyes holds what full dichromacy makes of linear RGB. Source: Machado,
// Oliveira and Fernandes, A physiologically-based model for simulation of
// color vision deficiency, IEEE TVCG 15 (2009), severity 1.0, from memory.
var eyes = []struct {
	name   string
	matrix [3][3]float64
}{
	{"full", [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}},
	{"protanopia", [3][3]float64{{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}}},
	{"deuteranopia", [3][3]float64{{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}}},
	{"tritanopia", [3][3]float64{{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}}},
}

const (
	// colorsApart is the difference CIE76 at which thin lines that do not
	// touch differ at a glance: some five times the just noticeable 2.3.
	colorsApart = 12.0
	// widthsApart is the ratio at which lines differ by width alone.
	widthsApart = 1.4
)

// LookAlikes lists operations of a checked table that some eye cannot tell
// apart by colour, nor anybody by dash or by width.
func (t *StyleTable) LookAlikes() []LookAlike {
	var out []LookAlike
	for i := range t {
		for j := i + 1; j < len(t); j++ {
			a, b := &t[i], &t[j]
			wide := max(a.Width, b.Width) >= widthsApart*min(a.Width, b.Width)
			if wide || !slices.Equal(a.Dash, b.Dash) {
				continue
			}
			for _, eye := range eyes {
				if apart(seen(a.Color, eye.matrix), seen(b.Color, eye.matrix)) < colorsApart {
					out = append(out, LookAlike{Operation(i), Operation(j), eye.name})
				}
			}
		}
	}
	return out
}

// apart is the difference CIE76 of two colours.
func apart(p, q [3]float64) float64 {
	return math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
}

// seen is a colour in CIE L*a*b* (D65) as an eye sees it. sRGB: IEC 61966-2-1.
func seen(color string, m [3][3]float64) [3]float64 {
	r, g, b, _ := parseColor(color)
	var linear, eye [3]float64
	for i, c := range [3]uint8{r, g, b} {
		v := float64(c) / 255
		if linear[i] = v / 12.92; v > 0.04045 {
			linear[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	for i := range eye {
		eye[i] = min(1, max(0, m[i][0]*linear[0]+m[i][1]*linear[1]+m[i][2]*linear[2]))
	}
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	x := f((0.4124564*eye[0] + 0.3575761*eye[1] + 0.1804375*eye[2]) / 0.95047)
	y := f(0.2126729*eye[0] + 0.7151522*eye[1] + 0.0721750*eye[2])
	z := f((0.0193339*eye[0] + 0.1191920*eye[1] + 0.9503041*eye[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}
