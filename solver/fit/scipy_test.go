package fit

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"testing"

	"foldwright/solver/geom"
	"foldwright/testdata/outside"
)

// closedForm is a least squares problem whose residuals have a closed form.
type closedForm struct {
	Kind     string    `json:"kind"`
	Start    []float64 `json:"start"`
	Readings []struct {
		What        string  `json:"what"`
		Opening     float64 `json:"opening"`
		Value       float64 `json:"value"`
		Uncertainty float64 `json:"uncertainty"`
	} `json:"readings"`

	document string
	pointers []string
	measures map[string]string
}

// python finds an interpreter that has scipy.
func python(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"/usr/bin/python3", "python3"} {
		if path, err := exec.LookPath(name); err == nil && exec.Command(path, "-c", "import scipy.optimize").Run() == nil {
			return path
		}
	}
	outside.Missing(t, "no python3 with scipy (python3-scipy)")
	return ""
}

// drawClosedForm draws a mechanism, and noisy readings of another like it.
func drawClosedForm(draw *rand.Rand) closedForm {
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*draw.Float64() }
	c := closedForm{Kind: "v_fold"}
	openings := []float64{50, 80, 110, 140, 170}
	var planted []float64
	kinds := []string{"height", "along", "fold"}
	if draw.IntN(2) == 0 {
		c.Kind, kinds = "parallel_fold", []string{"height", "fold"}
		offset := between(15, 30)
		c.Start = []float64{offset, offset + between(8, 30)}
		c.document = fmt.Sprintf(`{"id":"x","kind":"parallel_fold","on":{"fold":"gutter"},"from":10,"to":60,"left":{"base_offset":%g,"panel_width":%g}}`, c.Start[0], c.Start[1])
		c.pointers = []string{"/mechanisms/0/left/base_offset", "/mechanisms/0/left/panel_width"}
		planted = []float64{c.Start[0] + between(-2, 2), c.Start[1] + between(-2, 2)}
	} else {
		a := between(45, 70)
		c.Start = []float64{a, a + between(10, 30), between(30, 60), between(60, 100)}
		c.document = fmt.Sprintf(`{"id":"x","kind":"v_fold","on":{"fold":"gutter"},"at":%g,"left":{"base_angle":%g,"panel_angle":%g,"base_length":50},"ridge_length":%g}`,
			c.Start[3], c.Start[0], c.Start[1], c.Start[2])
		c.pointers = []string{"/mechanisms/0/left/base_angle", "/mechanisms/0/left/panel_angle", "/mechanisms/0/ridge_length", "/mechanisms/0/at"}
		planted = []float64{c.Start[0] + between(-3, 3), c.Start[1] + between(-3, 3), c.Start[2] + between(-3, 3), c.Start[3] + between(-3, 3)}
	}
	c.document = `{"spread":{"page_width":200,"page_height":300},"mechanisms":[` + c.document + `]}`
	c.measures = map[string]string{"height": "height.x.ridge@start", "along": "along.x.ridge@end", "fold": "fold.x.ridge"}
	if c.Kind == "v_fold" {
		c.measures["height"] = "height.x.ridge@end"
	}
	for _, opening := range openings {
		for _, what := range kinds {
			r := struct {
				What        string  `json:"what"`
				Opening     float64 `json:"opening"`
				Value       float64 `json:"value"`
				Uncertainty float64 `json:"uncertainty"`
			}{what, opening, closedValue(c.Kind, what, planted, opening) + 0.4*draw.NormFloat64(), between(0.2, 0.6)}
			c.Readings = append(c.Readings, r)
		}
	}
	return c
}

// closedValue is a reading by the formulas of testdata/least_squares.py.
func closedValue(kind, what string, x []float64, opening float64) float64 {
	sin, cos := math.Sincos(opening / 2 * math.Pi / 180)
	if kind == "parallel_fold" {
		if what == "fold" {
			return 2 * math.Asin(x[0]*sin/x[1]) * 180 / math.Pi
		}
		return x[0]*cos + math.Sqrt(x[1]*x[1]-x[0]*sin*x[0]*sin)
	}
	a, p := x[0]*math.Pi/180, x[1]*math.Pi/180
	q, r := math.Cos(a), math.Sin(a)*cos
	w := math.Atan2(r, q) + math.Acos(math.Cos(p)/math.Hypot(q, r))
	switch what {
	case "height":
		return x[2] * math.Sin(w)
	case "along":
		return x[3] + x[2]*math.Cos(w)
	}
	return 2 * math.Asin(math.Sin(a)*sin/math.Sin(p)) * 180 / math.Pi
}

// askPython hands a question to a program as JSON, and reads its answer.
func askPython(t *testing.T, program string, question, answer any) {
	t.Helper()
	data, err := json.Marshal(question)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python(t), program)
	cmd.Stdin = bytes.NewReader(data)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, stderr.String())
	}
	if err := json.Unmarshal(out, answer); err != nil {
		t.Fatal(err)
	}
}

// Source: scipy.optimize.least_squares (Debian python3-scipy 1.10) on the same
// readings, its model being closed forms and its derivatives differences. Numbers,
// χ² and covariance agree.
func TestAgainstScipy(t *testing.T) {
	draw := rand.New(rand.NewPCG(9, 4))
	problems := make([]closedForm, 40)
	for i := range problems {
		problems[i] = drawClosedForm(draw)
	}
	var want []struct {
		X          []float64   `json:"x"`
		ChiSquare  float64     `json:"chi_square"`
		Covariance [][]float64 `json:"covariance"`
	}
	askPython(t, "testdata/least_squares.py", problems, &want)
	worst, worstCovariance := 0.0, 0.0
	for i := range problems {
		c := &problems[i]
		task := &Task{Design: decode(t, c.document), Mockup: true, Keep: Keep{ShutsFlat: true}, Starts: 1}
		for _, pointer := range c.pointers {
			task.Vary = append(task.Vary, Vary{Pointer: pointer})
		}
		for _, r := range c.Readings {
			at := geom.Degrees(r.Opening)
			task.Goals = append(task.Goals, Goal{Measure: c.measures[r.What], Opening: &at, Target: r.Value, Tolerance: r.Uncertainty})
		}
		a := solve(t, task)
		e := a.Estimate
		if math.Abs(e.ChiSquare-want[i].ChiSquare) > 1e-6*want[i].ChiSquare {
			t.Errorf("%s: χ² %.9g, scipy %.9g", c.document, e.ChiSquare, want[i].ChiSquare)
		}
		for k, n := range a.Numbers {
			off := math.Abs(n.Exact-want[i].X[k]) / e.Numbers[k].Uncertainty
			worst = max(worst, off)
			if off > 1e-3 {
				t.Errorf("%s: %s is %.9g, scipy %.9g, uncertainty %.3g", c.document, n.Pointer, n.Exact, want[i].X[k], e.Numbers[k].Uncertainty)
			}
			for j := range a.Numbers {
				scale := math.Sqrt(want[i].Covariance[k][k] * want[i].Covariance[j][j])
				off := math.Abs(e.Covariance[k][j]-want[i].Covariance[k][j]) / scale
				worstCovariance = max(worstCovariance, off)
				if off > 1e-3 {
					t.Errorf("%s: covariance %d %d is %.6g, scipy %.6g", c.document, k, j, e.Covariance[k][j], want[i].Covariance[k][j])
				}
			}
		}
	}
	t.Logf("numbers within %.1e of their uncertainties, covariances within %.1e", worst, worstCovariance)
}
