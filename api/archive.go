package api

import (
	"io"
	"net/http"
	"time"
)

const (
	// maxArchive is the longest archive that is read, in bytes. Packed designs
	// take a tenth of their length or less.
	maxArchive = 256 << 20
	// archiveTimeout is the longest work on an archive.
	archiveTimeout = 15 * time.Minute
	// archiveStep is how long a client may take for a piece of it.
	archiveStep = 30 * time.Second
)

// upload is a body that is read as it comes. It takes longer than the server
// lets a request take, so every piece has a deadline of its own, none of which
// is later than that of the whole.
type upload struct {
	w   http.ResponseWriter
	end time.Time
	io.ReadCloser
}

// newUpload leaves time for an answer after the longest work.
func newUpload(w http.ResponseWriter, body io.ReadCloser) *upload {
	end := time.Now().Add(archiveTimeout)
	_ = http.NewResponseController(w).SetWriteDeadline(end.Add(archiveStep))
	return &upload{w, end, body}
}

func (u *upload) Read(p []byte) (int, error) {
	// A connection that has no deadlines needs none.
	piece := time.Now().Add(archiveStep)
	if piece.After(u.end) {
		piece = u.end
	}
	_ = http.NewResponseController(u.w).SetReadDeadline(piece)
	return u.ReadCloser.Read(p)
}

// download is an answer that is written as it is made.
type download struct {
	http.ResponseWriter
	begun bool
}

func (d *download) Write(p []byte) (int, error) {
	d.begun = true
	_ = http.NewResponseController(d.ResponseWriter).SetWriteDeadline(time.Now().Add(archiveStep))
	return d.ResponseWriter.Write(p)
}

// ReadDocument reads a design for an archive: what the store is to know of a
// version, as if it were stored now.
func ReadDocument(raw []byte) (title string, tags []string, hash string, err error) {
	doc, err := readDocument(raw, "")
	if err != nil {
		return "", nil, "", err
	}
	return doc.Design.Title, doc.Design.Tags, doc.Hash, checkStorable(doc.Design)
}
