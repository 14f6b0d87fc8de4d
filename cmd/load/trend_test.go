package main

import (
	"math"
	"testing"
)

// Anscombe's first set (F. J. Anscombe, Graphs in Statistical Analysis, The
// American Statistician 27, 1973): slope 0.500 with standard error 0.118, and
// Student's t for 9 degrees of freedom at 97.5 % is 2.262.
func TestTrendOfAnscombe(t *testing.T) {
	x := []float64{10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5}
	y := []float64{8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68}
	got := trendOf(x, y)
	if math.Abs(got.slope-0.500) > 0.001 || math.Abs(got.halfWidth-0.118*2.262) > 0.001 || got.verdict() != "grows" {
		t.Errorf("%+v %s", got, got.verdict())
	}
	for i := range y {
		y[i] -= got.slope * x[i]
	}
	if level := trendOf(x, y); level.verdict() != "flat" {
		t.Errorf("%+v %s", level, level.verdict())
	}
}

func TestOnlyThisMachine(t *testing.T) {
	for host, ours := range map[string]bool{"127.0.0.1": true, "127.8.0.1": true, "::1": true, "localhost": true, "192.0.2.1": false, "workshop.example": false, "": false} {
		if onThisMachine(host) != ours {
			t.Errorf("%q: %v", host, !ours)
		}
	}
}
