package api

import "net/http"

// The operations that answer with ready bytes.

func (a *answer) VisitSolveResponse(w http.ResponseWriter) error              { return a.write(w) }
func (a *answer) VisitCheckResponse(w http.ResponseWriter) error              { return a.write(w) }
func (a *answer) VisitFitResponse(w http.ResponseWriter) error                { return a.write(w) }
func (a *answer) VisitMakePatternResponse(w http.ResponseWriter) error        { return a.write(w) }
func (a *answer) VisitCreateDesignResponse(w http.ResponseWriter) error       { return a.write(w) }
func (a *answer) VisitGetDesignResponse(w http.ResponseWriter) error          { return a.write(w) }
func (a *answer) VisitReplaceDesignResponse(w http.ResponseWriter) error      { return a.write(w) }
func (a *answer) VisitPatchDesignResponse(w http.ResponseWriter) error        { return a.write(w) }
func (a *answer) VisitRestoreDesignResponse(w http.ResponseWriter) error      { return a.write(w) }
func (a *answer) VisitGetVersionResponse(w http.ResponseWriter) error         { return a.write(w) }
func (a *answer) VisitSolveVersionResponse(w http.ResponseWriter) error       { return a.write(w) }
func (a *answer) VisitCheckVersionResponse(w http.ResponseWriter) error       { return a.write(w) }
func (a *answer) VisitPatternVersionResponse(w http.ResponseWriter) error     { return a.write(w) }
func (a *answer) VisitPatternVersionJsonResponse(w http.ResponseWriter) error { return a.write(w) }
func (a *answer) VisitPatternVersionSvgResponse(w http.ResponseWriter) error  { return a.write(w) }
func (a *answer) VisitPatternVersionDxfResponse(w http.ResponseWriter) error  { return a.write(w) }
func (a *answer) VisitPatternVersionPdfResponse(w http.ResponseWriter) error  { return a.write(w) }
func (a *answer) VisitGetExampleResponse(w http.ResponseWriter) error         { return a.write(w) }
func (a *answer) VisitSolveExampleResponse(w http.ResponseWriter) error       { return a.write(w) }
func (a *answer) VisitCheckExampleResponse(w http.ResponseWriter) error       { return a.write(w) }
func (a *answer) VisitPatternExampleResponse(w http.ResponseWriter) error     { return a.write(w) }
func (a *answer) VisitPatternExampleJsonResponse(w http.ResponseWriter) error { return a.write(w) }
func (a *answer) VisitPatternExampleSvgResponse(w http.ResponseWriter) error  { return a.write(w) }
func (a *answer) VisitPatternExampleDxfResponse(w http.ResponseWriter) error  { return a.write(w) }
func (a *answer) VisitPatternExamplePdfResponse(w http.ResponseWriter) error  { return a.write(w) }
func (a *answer) VisitGetDiagramResponse(w http.ResponseWriter) error         { return a.write(w) }
func (a *answer) VisitViewResponse(w http.ResponseWriter) error               { return a.write(w) }
func (a *answer) VisitViewVersionResponse(w http.ResponseWriter) error        { return a.write(w) }
func (a *answer) VisitViewVersionSvgResponse(w http.ResponseWriter) error     { return a.write(w) }
func (a *answer) VisitViewVersionPngResponse(w http.ResponseWriter) error     { return a.write(w) }
func (a *answer) VisitViewExampleResponse(w http.ResponseWriter) error        { return a.write(w) }
func (a *answer) VisitViewExampleSvgResponse(w http.ResponseWriter) error     { return a.write(w) }
func (a *answer) VisitViewExamplePngResponse(w http.ResponseWriter) error     { return a.write(w) }
func (a *answer) VisitCurvesResponse(w http.ResponseWriter) error             { return a.write(w) }
func (a *answer) VisitCurvesVersionResponse(w http.ResponseWriter) error      { return a.write(w) }
func (a *answer) VisitCurvesExampleResponse(w http.ResponseWriter) error      { return a.write(w) }
func (a *answer) VisitCurvesVersionJsonResponse(w http.ResponseWriter) error  { return a.write(w) }
func (a *answer) VisitCurvesExampleJsonResponse(w http.ResponseWriter) error  { return a.write(w) }
func (a *answer) VisitCurvesVersionCsvResponse(w http.ResponseWriter) error   { return a.write(w) }
func (a *answer) VisitCurvesExampleCsvResponse(w http.ResponseWriter) error   { return a.write(w) }
func (a *answer) VisitCurvesVersionSvgResponse(w http.ResponseWriter) error   { return a.write(w) }
func (a *answer) VisitCurvesExampleSvgResponse(w http.ResponseWriter) error   { return a.write(w) }
func (a *answer) VisitCurvesVersionPngResponse(w http.ResponseWriter) error   { return a.write(w) }
func (a *answer) VisitCurvesExamplePngResponse(w http.ResponseWriter) error   { return a.write(w) }
func (a *answer) VisitModelResponse(w http.ResponseWriter) error              { return a.write(w) }
func (a *answer) VisitModelVersionGlbResponse(w http.ResponseWriter) error    { return a.write(w) }
func (a *answer) VisitModelExampleGlbResponse(w http.ResponseWriter) error    { return a.write(w) }
func (a *answer) VisitEmbedVersionResponse(w http.ResponseWriter) error       { return a.write(w) }
func (a *answer) VisitEmbedExampleResponse(w http.ResponseWriter) error       { return a.write(w) }
func (a *answer) VisitGetReferenceResponse(w http.ResponseWriter) error       { return a.write(w) }
func (a *answer) VisitGetServiceResponse(w http.ResponseWriter) error         { return a.write(w) }
func (a *answer) VisitGetOpenapiResponse(w http.ResponseWriter) error         { return a.write(w) }
func (a *answer) VisitGetMetricsResponse(w http.ResponseWriter) error         { return a.write(w) }
func (a *answer) VisitListDesignsResponse(w http.ResponseWriter) error        { return a.write(w) }
func (a *answer) VisitCreateKeyResponse(w http.ResponseWriter) error          { return a.write(w) }
func (a *answer) VisitCreateShareResponse(w http.ResponseWriter) error        { return a.write(w) }
func (a *answer) VisitGetSharedResponse(w http.ResponseWriter) error          { return a.write(w) }
func (a *answer) VisitListVersionsResponse(w http.ResponseWriter) error       { return a.write(w) }
func (a *answer) VisitDiffVersionsResponse(w http.ResponseWriter) error       { return a.write(w) }
