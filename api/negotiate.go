package api

import (
	"mime"
	"strconv"
	"strings"
)

// Media types of answers.
const (
	MediaJSON = "application/json"
	MediaSVG  = "image/svg+xml"
	MediaDXF  = "image/vnd.dxf"
	MediaPDF  = "application/pdf"
	MediaPNG  = "image/png"
	MediaCSV  = "text/csv"
	MediaGLB  = "model/gltf-binary"
	MediaHTML = "text/html"

	MediaEvents = "text/event-stream"
	MediaZIP    = "application/zip"

	mediaProblem = "application/problem+json"
)

// negotiate picks the media type the client likes best, in the order offered
// among equals (RFC 9110, section 12.5.1). Empty when none is accepted.
func negotiate(accept []string, offered []string) string {
	ranges := parseAccept(accept)
	if len(ranges) == 0 {
		return offered[0]
	}
	best, bestQ := "", 0.0
	for _, media := range offered {
		if q := quality(ranges, media); q > bestQ {
			best, bestQ = media, q
		}
	}
	return best
}

type mediaRange struct {
	kind, sub string
	q         float64
}

// parseAccept reads Accept headers; parts that cannot be read are left out.
func parseAccept(headers []string) []mediaRange {
	var list []mediaRange
	for part := range strings.SplitSeq(strings.Join(headers, ","), ",") {
		media, params, err := mime.ParseMediaType(part)
		if err != nil {
			continue
		}
		kind, sub, ok := strings.Cut(media, "/")
		if !ok {
			continue
		}
		q := 1.0
		if text, given := params["q"]; given {
			if q, err = strconv.ParseFloat(text, 64); err != nil || !(q >= 0 && q <= 1) {
				continue
			}
		}
		list = append(list, mediaRange{kind, sub, q})
	}
	return list
}

// quality is that of the most specific range the media type falls into.
func quality(ranges []mediaRange, media string) float64 {
	kind, sub, _ := strings.Cut(media, "/")
	q, specific := 0.0, -1
	for _, r := range ranges {
		rank := 2
		switch {
		case r.kind == kind && r.sub == sub:
		case r.kind == kind && r.sub == "*":
			rank = 1
		case r.kind == "*" && r.sub == "*":
			rank = 0
		default:
			continue
		}
		if rank > specific {
			q, specific = r.q, rank
		}
	}
	return q
}
