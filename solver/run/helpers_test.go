package run

import (
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/draw"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
	"foldwright/testdata/designs"
)

// example is the pattern of one of the examples.
func example(t testing.TB, name string) *pattern.Pattern {
	t.Helper()
	raw, ok := designs.Read(name)
	if !ok {
		t.Fatalf("no example %s", name)
	}
	return made(t, raw)
}

func made(t testing.TB, document []byte) *pattern.Pattern {
	t.Helper()
	d, err := design.Decode(document)
	if err != nil {
		t.Fatal(err)
	}
	p, err := pattern.Make(kinematics.Compile(d), pattern.DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// stock is a paper by the name of its size.
func stock(name, size string) Stock {
	p, ok := draw.FindPaper(size)
	if !ok {
		panic("no paper " + size)
	}
	return Stock{Name: name, Paper: p.Name, Width: p.Width, Height: p.Height, Caliper: 0.3, Grammage: 240, Grain: LongSide}
}

func on(copies int, stocks ...Stock) Options {
	o := DefaultOptions()
	o.Copies, o.Stocks = copies, stocks
	return o
}

func mustLayOut(t testing.TB, p *pattern.Pattern, o Options) *Run {
	t.Helper()
	r, err := LayOut(p, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}
