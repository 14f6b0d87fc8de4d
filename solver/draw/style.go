package draw

// Style is how one operation looks.
type Style struct {
	Layer string
	Color string    // #rrggbb
	Dash  []float64 // mm: line, gap, line, gap; nil for a solid line
	Width float64   // mm
	ACI   int       // DXF colour index, 1 to 255
}

// StyleTable holds the style of every operation, indexed by it.
type StyleTable [operationCount]Style

// The dashes of creases follow the open notation of paper folding: valley
// folds dashed, mountain folds dash and dot.
var (
	mountainDash = []float64{5, 1.2, 0.8, 1.2}
	valleyDash   = []float64{2.6, 1.4}
	perforation  = []float64{0.9, 0.9}
	dots         = []float64{0.5, 1}
)

// DefaultStyles tells operations apart by hue and by lightness, so that they
// differ for every kind of colour vision (a test simulates them), and by dash.
func DefaultStyles() StyleTable {
	return StyleTable{
		Cut:           {Layer: "cut", Color: "#16181d", Width: 0.25, ACI: 7},
		ScoreMountain: {Layer: "score_mountain", Color: "#b4530f", Dash: mountainDash, Width: 0.25, ACI: 32},
		ScoreValley:   {Layer: "score_valley", Color: "#2a6fd6", Dash: valleyDash, Width: 0.25, ACI: 150},
		Perforate:     {Layer: "perforate", Color: "#7d1d6b", Dash: perforation, Width: 0.25, ACI: 216},
		Glue:          {Layer: "glue", Color: "#8fb8a8", Width: 0.15, ACI: 121},
		Print:         {Layer: "print", Color: "#6d7480", Width: 0.18, ACI: 8},
		Label:         {Layer: "label", Color: "#3f4650", Width: 0.15, ACI: 252},
		Registration:  {Layer: "registration", Color: "#000000", Width: 0.35, ACI: 250},
	}
}

// MonochromeStyles tells operations apart by dash and width alone, for black
// printing and for machines that see no colour.
func MonochromeStyles() StyleTable {
	t := DefaultStyles()
	for i := range t {
		t[i].Color, t[i].ACI = "#000000", 7
	}
	t[Cut].Width = 0.35
	t[ScoreMountain].Width, t[ScoreValley].Width, t[Perforate].Width = 0.2, 0.2, 0.2
	t[Glue].Dash, t[Glue].Width = dots, 0.13
	t[Print].Width, t[Label].Width = 0.1, 0.13
	t[Registration].Width = 0.5
	return t
}

// resolved is the table to use: the caller's or the default.
func resolved(t *StyleTable) StyleTable {
	if t != nil {
		return *t
	}
	return DefaultStyles()
}
