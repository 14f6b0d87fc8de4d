package api

import (
	"compress/gzip"
	"io"
	"net/http"
	"strings"
	"sync"

	"github.com/labstack/echo/v4"
)

// minCompressed is the shortest answer worth compressing: a shorter one fits a
// packet either way.
const minCompressed = 1400

// gzipSuffix ends the entity tag of a compressed answer. A strong tag names
// bytes, so the two encodings need two of them (RFC 9110, section 8.8.3.3), and
// a weak one would be good for no If-Match.
const gzipSuffix = "-gzip"

var gzipWriters = sync.Pool{New: func() any {
	// The fastest level: answers are made for one client, and most of what can
	// be saved is saved there.
	w, err := gzip.NewWriterLevel(io.Discard, gzip.BestSpeed)
	if err != nil {
		panic(err) // the level is a constant of the library
	}
	return w
}}

// compress is the middleware that compresses answers for clients that take it.
func (s *Server) compress(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if !acceptsGzip(c.Request().Header.Values(echo.HeaderAcceptEncoding)) {
			return next(c)
		}
		w := &compressor{ResponseWriter: c.Response().Writer}
		c.Response().Writer = w
		defer func() {
			w.end()
			c.Response().Writer = w.ResponseWriter
		}()
		return next(c)
	}
}

// compressor decides at the first bytes, when the length and the type of the
// answer are known.
type compressor struct {
	http.ResponseWriter
	status int
	sent   bool
	gzip   *gzip.Writer
}

func (w *compressor) WriteHeader(status int) { w.status = status }

func (w *compressor) Write(b []byte) (int, error) {
	if !w.sent {
		w.begin(len(b))
	}
	if w.gzip != nil {
		return w.gzip.Write(b)
	}
	return w.ResponseWriter.Write(b)
}

// begin sends the header. Every handler writes its answer at once, so the first
// write has its length.
func (w *compressor) begin(length int) {
	w.sent = true
	h := w.Header()
	if length >= minCompressed && compressible(h.Get("Content-Type")) && h.Get("Content-Encoding") == "" {
		h.Set("Content-Encoding", "gzip")
		h.Del("Content-Length")
		if tag, quoted := strings.CutSuffix(h.Get("ETag"), `"`); quoted {
			h.Set("ETag", tag+gzipSuffix+`"`)
		}
		w.gzip = gzipWriters.Get().(*gzip.Writer)
		w.gzip.Reset(w.ResponseWriter)
	}
	if w.status != 0 {
		w.ResponseWriter.WriteHeader(w.status)
	}
}

func (w *compressor) end() {
	if !w.sent && w.status != 0 {
		w.begin(0)
	}
	if w.gzip == nil {
		return
	}
	// Only a client that went away makes this fail, and reads no answer.
	_ = w.gzip.Close()
	gzipWriters.Put(w.gzip)
}

// Unwrap lets the standard library find what it needs of the connection.
func (w *compressor) Unwrap() http.ResponseWriter { return w.ResponseWriter }

// compressible tells text from what is compressed already. A GLB is numbers,
// of which gzip saves half.
func compressible(media string) bool {
	media, _, _ = strings.Cut(media, ";")
	switch media {
	case MediaJSON, MediaSVG, MediaDXF, MediaCSV, MediaHTML, MediaGLB, mediaProblem, "text/plain":
		return true
	}
	return false
}

// acceptsGzip reads Accept-Encoding (RFC 9110, section 12.5.3).
func acceptsGzip(headers []string) bool {
	accepted, star := false, false
	for part := range strings.SplitSeq(strings.Join(headers, ","), ",") {
		coding, weight, _ := strings.Cut(part, ";")
		refused := isZero(weight)
		switch strings.ToLower(strings.TrimSpace(coding)) {
		case "gzip", "x-gzip":
			if refused {
				return false
			}
			accepted = true
		case "*":
			star = !refused
		}
	}
	return accepted || star
}

// isZero tells whether a weight refuses: q=0, with up to three zeros more.
func isZero(weight string) bool {
	value, found := strings.CutPrefix(strings.ToLower(strings.ReplaceAll(weight, " ", "")), "q=")
	return found && strings.Trim(value, "0.") == "" && value != ""
}
