package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"foldwright/testdata/designs"
)

// patience is a context that is over once it was asked often enough.
type patience struct {
	context.Context
	asked, most int
}

func (p *patience) Err() error {
	if p.asked++; p.asked > p.most {
		return context.DeadlineExceeded
	}
	return nil
}

// extremeFits are requests with numbers on the bounds that the contract sets.
func extremeFits() map[string]string {
	vary := `"vary":[{"pointer":"/mechanisms/0/left/base_angle","min":60,"max":60},{"pointer":"/mechanisms/0/left/panel_angle","step":0.000001},{"pointer":"/mechanisms/0/ridge_length","step":1000}]`
	free := `"vary":[{"pointer":"/mechanisms/0/left/base_angle"},{"pointer":"/mechanisms/0/left/panel_angle"},{"pointer":"/mechanisms/0/ridge_length"},{"pointer":"/mechanisms/0/at"}]`
	many := make([]string, 60)
	for i := range many {
		sort := [...]string{"target", "at_least", "at_most"}[i%3]
		many[i] = fmt.Sprintf(`{"measure":"height.lighthouse.ridge@end","opening":%d,%q:%d,"tolerance":%s,"weight":%s}`,
			i*3, sort, 1_000_000*(i%2*2-1), [...]string{"0.000001", "1000000"}[i/2%2], [...]string{"0.000001", "1000000"}[i/4%2])
	}
	return map[string]string{
		"far above":   free + `,"goals":[{"measure":"height","target":1000000,"tolerance":0.000001,"weight":1000000}]`,
		"far below":   free + `,"goals":[{"measure":"height","target":-1000000,"tolerance":0.000001,"weight":0.000001}]`,
		"nothing":     free + `,"goals":[{"measure":"height","target":0,"tolerance":0.000001}]`,
		"a wide goal": free + `,"goals":[{"measure":"height","at_least":1000000,"tolerance":1000000,"weight":0.000001}]`,
		"held":        vary + `,"goals":[{"measure":"height","at_least":1000000,"tolerance":0.000001,"weight":1000000}]`,
		"far inside":  free + `,"keep":{"inset":2000},"goals":[{"measure":"height","target":60}]`,
		"many":        free + `,"goals":[` + strings.Join(many, ",") + `]`,
		"measured":    vary + `,"measurements":[{"measure":"height","value":1000000,"uncertainty":0.000001},{"measure":"height","opening":90,"value":-1000000,"uncertainty":1000000}]`,
	}
}

// unwinding is how often work may ask again after it was told to stop: once for
// each loop around that which asked.
const unwinding = 200

// A fit whose numbers are on the bounds of the contract ends within its budget,
// however small, counted in how often it asks whether to stop; and the answer of
// one that ends by itself is one.
func TestExtremeFitsEnd(t *testing.T) {
	var p Pipeline
	raw, _ := designs.Read("harbour")
	doc, err := p.Read(t.Context(), raw)
	if err != nil {
		t.Fatal(err)
	}
	stopped, whole := 0, 0
	for name, text := range extremeFits() {
		var body FitRequest
		text = `{"starts":2,"seed":9007199254740991,` + text + `,"example":"harbour"}`
		if err := json.Unmarshal([]byte(text), &body); err != nil {
			t.Fatal(name, err)
		}
		options := FitOptions{Vary: body.Vary}
		fill(&options.Goals, body.Goals)
		fill(&options.Measurements, body.Measurements)
		fill(&options.Keep, body.Keep)
		fill(&options.Starts, body.Starts)
		fill(&options.Seed, body.Seed)
		for _, most := range []int{1, 30, 1000, 1_000_000} {
			ctx := &patience{Context: t.Context(), most: most}
			found, err := p.Fit(ctx, doc, options)
			switch {
			case errors.Is(err, context.DeadlineExceeded):
				stopped++
				if ctx.asked > most+unwinding {
					t.Errorf("%s: asked %d times after it was told to stop at %d", name, ctx.asked-most, most)
				}
				continue
			case err != nil:
				t.Errorf("%s: %v", name, fitRefused(err))
				continue
			}
			whole++
			if _, err := encode(found); err != nil {
				t.Errorf("%s: %v", name, err)
			}
			t.Logf("%s: asked %d times", name, ctx.asked)
		}
	}
	if stopped < 2*len(extremeFits()) || whole < len(extremeFits()) {
		t.Errorf("%d told to stop, %d ended: the test shows little", stopped, whole)
	}
}
