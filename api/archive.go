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
// lets a request take, so every piece has a deadline of its own.
type upload struct {
	w http.ResponseWriter
	io.ReadCloser
}

func (u *upload) Read(p []byte) (int, error) {
	// A connection that has no deadlines needs none.
	_ = http.NewResponseController(u.w).SetReadDeadline(time.Now().Add(archiveStep))
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
