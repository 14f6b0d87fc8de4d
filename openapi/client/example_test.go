package client_test

import (
	"context"
	"errors"
	"fmt"
	"os"

	"foldwright/openapi/client"
)

// Check a V-fold, and keep its pattern for the cutter.
func Example() {
	ctx := context.Background()
	foldwright, err := client.New("http://127.0.0.1:8080", os.Getenv("FOLDWRIGHT_KEY"))
	if err != nil {
		fmt.Println(err)
		return
	}
	var lighthouse client.Mechanism
	if err := lighthouse.FromVFold(client.VFold{
		Id: "lighthouse", On: client.OnFold{Fold: "gutter"}, At: 100, RidgeLength: 85,
		Left: client.VFoldSide{BaseAngle: 55, PanelAngle: 90, BaseLength: 70},
	}); err != nil {
		fmt.Println(err)
		return
	}
	design := client.Design{
		Title:      new("Lighthouse"),
		Spread:     client.Spread{PageWidth: 130, PageHeight: 180},
		Mechanisms: &[]client.Mechanism{lighthouse},
	}
	report, err := foldwright.CheckWithResponse(ctx, client.CheckRequest{Design: &design})
	if problem, ok := errors.AsType[*client.Problem](err); ok {
		fmt.Println(problem.Title, problem.Errors) // each with a JSON pointer
		return
	}
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, finding := range report.JSON200.Findings {
		fmt.Println(finding.Severity, finding.Pointer, finding.Message)
	}
	drawing, err := foldwright.MakePatternWithResponse(ctx, client.PatternRequest{Design: &design}, client.Accept("image/svg+xml"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(os.WriteFile("lighthouse.svg", drawing.Body, 0o644))
}
