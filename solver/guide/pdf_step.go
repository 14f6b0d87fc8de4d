package guide

import (
	"strconv"
	"strings"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
)

func (f *flow) steps() {
	for i := range f.g.Steps {
		f.step(&f.g.Steps[i], i == 0)
	}
}

// step writes a step as a block: its title, and its picture beside its words or
// above them. A block that no page holds goes on like any text.
func (f *flow) step(s *Step, first bool) {
	const gap, space = 5.0, 5.0
	title := f.set(draw.Bold, stepSize, f.width, strconv.Itoa(s.Number)+". "+s.Title)
	beside := f.width >= sideBySide && s.Picture != nil
	wide, pictureWide := f.width, f.width
	if beside {
		pictureWide = f.width * 0.46
		wide = f.width - pictureWide - gap
	}
	words := f.stepWords(s, wide)
	var box geom.Vec2
	var caption text
	pictureHigh := 0.0
	if s.Picture != nil {
		most := geom.Box2{Max: geom.Vec2{X: pictureWide, Y: pictureShare * (f.top - f.bottom)}}
		box = s.Picture.FitIn(most).Size()
		caption = f.set(draw.Regular, smallSize, pictureWide, s.Caption)
		caption.ink = softInk
		pictureHigh = box.Y + caption.height()
	}
	high := title.height() + pictureHigh + heightOf(words)
	if beside {
		high = title.height() + max(pictureHigh, heightOf(words))
	}
	page := f.top - f.bottom
	if first {
		f.heading(f.g.words.steps, min(high, page-12))
	}
	split := high > page
	if split {
		high = title.height() + pictureHigh
	}
	f.need(high + space)
	if f.y < f.top && !first {
		f.Rule(geom.Vec2{X: f.left, Y: f.y + space/2 - 1}, geom.Vec2{X: f.left + f.width, Y: f.y + space/2 - 1}, 0.15, ruleInk)
	}
	f.paragraph(title)
	if s.Picture != nil {
		x := f.left + (pictureWide-box.X)/2
		f.Picture(s.Picture, geom.Box2{Min: geom.Vec2{X: x, Y: f.y - box.Y}, Max: geom.Vec2{X: x + box.X, Y: f.y}})
		f.put(&caption, f.left, f.y-box.Y)
	}
	switch {
	case split:
		f.y -= pictureHigh
		for _, t := range f.stepWords(s, f.width) {
			f.paragraph(t)
		}
	case beside:
		f.stack(words, f.left+pictureWide+gap, f.y)
		f.y -= high - title.height()
	default:
		f.stack(words, f.left, f.y-pictureHigh)
		f.y -= high - title.height()
	}
	f.y -= space
}

// stepWords are the words of a step, in the order they are read.
func (f *flow) stepWords(s *Step, width float64) []text {
	words := f.g.words
	var list []text
	for _, t := range s.Text {
		list = append(list, f.set(draw.Regular, bodySize, width, t))
	}
	label := func(s string) {
		t := f.set(draw.Bold, bodySize, width, s)
		t.after = 0
		list = append(list, t)
	}
	if len(s.Joints) > 0 {
		letters := make([]string, len(s.Joints))
		for i, j := range s.Joints {
			letters[i] = j.Letter
		}
		list = append(list, f.set(draw.Bold, bodySize, width, words.match+": "+strings.Join(letters, ", ")))
	}
	if len(s.Checks) > 0 {
		label(words.check)
		for _, c := range s.Checks {
			list = append(list, f.bullet(width, c))
		}
	}
	if s.Wait != "" {
		label(words.wait)
		list = append(list, f.set(draw.Regular, bodySize, width, s.Wait))
	}
	return list
}
