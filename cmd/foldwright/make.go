package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"foldwright/api"
	"foldwright/solver/design"
)

type makeCommand struct {
	Design   string    `arg:"" type:"existingfile" help:"Design document."`
	Out      string    `required:"" placeholder:"DIR" help:"Folder to write to; made if it is missing."`
	Openings []float64 `placeholder:"DEG,..." help:"Openings to solve at, degrees. Left out: 37 from shut to fully open."`
	Copies   int       `placeholder:"N" help:"Also lay this many cards out on sheets, 1 to 1000."`
	Stock    string    `default:"A3" help:"Size of the sheets: A3, SRA3, ..."`
}

// Run writes the files of one design.
func (c *makeCommand) Run(ctx context.Context, to streams) error {
	raw, err := os.ReadFile(c.Design)
	if err != nil {
		return err
	}
	pipeline := &api.Pipeline{}
	doc, err := pipeline.Read(ctx, raw)
	if invalid, ok := errors.AsType[*design.Invalid](err); ok {
		tellFaults(to.err, c.Design, invalid)
		return exit(exitBadDocument)
	}
	if err != nil {
		return err
	}
	report, err := pipeline.Check(ctx, doc, api.CheckOptions{})
	if err != nil {
		return err
	}
	files, err := c.files(ctx, pipeline, doc, report)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(c.Out, 0o777); err != nil {
		return err
	}
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(c.Out, f.name), f.data, 0o666); err != nil {
			return err
		}
	}
	summarise(to.out, doc, report, c.Out, files)
	if report.Verdict == api.VerdictErrors {
		return exit(exitBadDesign)
	}
	return nil
}

type file struct {
	name string
	data []byte
}

// files makes everything before anything is written, so that a failure leaves
// no half of a set.
func (c *makeCommand) files(ctx context.Context, p *api.Pipeline, doc *api.Document, report *api.Report) ([]file, error) {
	solved, err := p.Solve(ctx, doc, api.SolveOptions{Openings: c.Openings, Findings: true})
	if err != nil {
		return nil, err
	}
	findings, err := json.MarshalIndent(report, "", "  ")
	if err != nil {
		return nil, err
	}
	files := []file{{"solve.json", solved}, {"findings.json", append(findings, '\n')}}
	for _, drawing := range []struct{ name, media string }{
		{"pattern.svg", api.MediaSVG}, {"pattern.dxf", api.MediaDXF}, {"pattern.pdf", api.MediaPDF},
	} {
		data, err := p.Pattern(ctx, doc, api.PatternOptions{}, drawing.media)
		if err != nil {
			return nil, err
		}
		files = append(files, file{drawing.name, data})
	}
	var guide api.GuideOptions
	if c.Copies > 0 {
		guide.Copies = &c.Copies
	}
	for _, more := range []struct {
		name string
		make func() ([]byte, error)
	}{
		{"view.svg", func() ([]byte, error) { return p.View(ctx, doc, api.ViewOptions{}, api.MediaSVG) }},
		{"view.png", func() ([]byte, error) { return p.View(ctx, doc, api.ViewOptions{}, api.MediaPNG) }},
		{"curves.csv", func() ([]byte, error) { return p.Curves(ctx, doc, api.CurvesOptions{}, api.MediaCSV) }},
		{"guide.pdf", func() ([]byte, error) { return p.Guide(ctx, doc, guide, api.MediaPDF) }},
		{"guide.html", func() ([]byte, error) { return p.Guide(ctx, doc, guide, api.MediaHTML) }},
		{"model.glb", func() ([]byte, error) { return p.Model(ctx, doc, api.ModelOptions{}) }},
	} {
		data, err := more.make()
		if err != nil {
			return nil, err
		}
		files = append(files, file{more.name, data})
	}
	if c.Copies == 0 {
		return files, nil
	}
	sheets, err := p.RunFiles(ctx, doc, &api.LayoutRequest{
		Copies: &c.Copies, Stocks: &[]api.LayoutStock{{Paper: (*api.StockPaper)(&c.Stock)}},
	})
	if err != nil {
		return nil, err
	}
	for _, f := range sheets {
		files = append(files, file{f.Name, f.Data})
	}
	return files, nil
}

func tellFaults(w io.Writer, name string, invalid *design.Invalid) {
	fmt.Fprintf(w, "%s is not a valid design:\n", name)
	for _, p := range invalid.Problems {
		pointer := p.Pointer
		if pointer == "" {
			pointer = "/"
		}
		fmt.Fprintf(w, "  %s: %s (%s)\n", pointer, p.Detail, p.Code)
	}
}

func summarise(w io.Writer, doc *api.Document, report *api.Report, dir string, files []file) {
	title := doc.Design.Title
	if title == "" {
		title = "untitled design"
	}
	mechanisms := "1 mechanism"
	if n := len(doc.Design.Mechanisms); n != 1 {
		mechanisms = fmt.Sprintf("%d mechanisms", n)
	}
	fmt.Fprintf(w, "%s: %s, %s\n", title, mechanisms, verdictWords[report.Verdict])
	for _, f := range report.Findings {
		fmt.Fprintf(w, "  %s %s: %s\n", f.Severity, f.Pointer, f.Message)
		if f.Remedy != nil {
			fmt.Fprintf(w, "    %s\n", f.Remedy.Text)
		}
	}
	for _, f := range files {
		fmt.Fprintf(w, "wrote %s (%d bytes)\n", filepath.Join(dir, f.name), len(f.data))
	}
}

var verdictWords = map[api.Verdict]string{
	api.VerdictOk:       "all checks passed",
	api.VerdictWarnings: "works, with warnings",
	api.VerdictErrors:   "does not work yet",
}
