package api

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"time"

	"foldwright/storage"
	"foldwright/storage/archive"
)

// ExportWorkspace answers GET /v1/workspace/archive.
func (s *Server) ExportWorkspace(ctx context.Context, _ ExportWorkspaceRequestObject) (ExportWorkspaceResponseObject, error) {
	return exported{ctx, s.store(ctx)}, nil
}

type exported struct {
	ctx  context.Context
	from storage.Store
}

// VisitExportWorkspaceResponse writes the archive while it reads the store. What
// fails on the way breaks the connection, so that no client takes half an
// archive for one.
func (e exported) VisitExportWorkspaceResponse(w http.ResponseWriter) error {
	h := w.Header()
	h.Set("Content-Type", MediaZIP)
	h.Set("Content-Disposition", `attachment; filename="designs.zip"`)
	h.Set("Cache-Control", "no-store")
	if exchangeOf(e.ctx).head {
		w.WriteHeader(http.StatusOK)
		return nil
	}
	to := &download{ResponseWriter: w}
	_, err := archive.Write(e.ctx, to, e.from)
	if err != nil && to.begun {
		panic(http.ErrAbortHandler)
	}
	if err != nil {
		h.Del("Content-Disposition")
	}
	return err
}

// ImportWorkspace answers POST /v1/workspace/archive. The body waits in a file
// until it has been read through.
func (s *Server) ImportWorkspace(ctx context.Context, request ImportWorkspaceRequestObject) (ImportWorkspaceResponseObject, error) {
	f, err := os.CreateTemp("", "foldwright-import-")
	if err != nil {
		return nil, err
	}
	defer func() { _ = errors.Join(f.Close(), os.Remove(f.Name())) }()
	size, err := io.Copy(f, request.Body)
	if err != nil {
		return nil, unreadArchive(err)
	}
	a, err := archive.Read(f, size, archive.Uploaded(), time.Now(), ReadDocument)
	if err != nil {
		return nil, archiveFault(err)
	}
	on := archive.Refuse
	if request.Params.Conflicts != nil {
		on = archive.Conflict(*request.Params.Conflicts)
	}
	r, err := a.Import(ctx, s.store(ctx), exchangeOf(ctx).principal.workspace, on)
	if err != nil {
		return nil, archiveFault(err)
	}
	report := ImportReport{Imported: r.Imported, Skipped: r.Skipped, Renamed: []RenamedDesign{}}
	for _, renamed := range r.Renamed {
		report.Renamed = append(report.Renamed, RenamedDesign(renamed))
	}
	return ImportWorkspace200JSONResponse(report), nil
}

func unreadArchive(err error) error {
	if _, tooLarge := errors.AsType[*http.MaxBytesError](err); tooLarge {
		return &fault{kind: bodyTooLarge, detail: fmt.Sprintf("an archive may be %d bytes long", maxArchive)}
	}
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return &fault{kind: invalidArchive, detail: "the body did not arrive in time", cause: err}
	}
	return &fault{kind: invalidArchive, detail: "the body ended before it was complete", cause: err}
}

// archiveFault tells what is wrong with an archive. Pointers are into it: the
// name of the entry after a slash, or nothing for the whole.
func archiveFault(err error) error {
	if wrong, ok := errors.AsType[*archive.Fault](err); ok {
		pointer := ""
		if wrong.Entry != "" {
			pointer = "/" + pointerToken(wrong.Entry)
		}
		f := faultAt(invalidArchive, FieldError{Pointer: pointer, Code: NotAllowed, Detail: wrong.Detail})
		f.cause = err
		return f
	}
	if taken, ok := errors.AsType[*archive.Taken](err); ok {
		list := []FieldError{}
		for _, id := range taken.IDs[:min(len(taken.IDs), maxTold)] {
			list = append(list, FieldError{Pointer: "/designs/" + id, Code: DuplicateId, Detail: "the id belongs to another design"})
		}
		f := faultAt(archiveConflict, list...)
		f.detail = fmt.Sprintf("%d ids belong to other designs; send conflicts=new_id to give those designs new ids", len(taken.IDs))
		return f
	}
	return err
}

// maxTold is how many conflicts are named one by one.
const maxTold = 100
