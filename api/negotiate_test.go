package api

import "testing"

// Expected by the rules of RFC 9110, section 12.5.1.
func TestNegotiate(t *testing.T) {
	offered := []string{MediaJSON, MediaSVG, MediaDXF}
	for _, row := range []struct{ why, accept, want string }{
		{"nothing said", "", MediaJSON},
		{"anything", "*/*", MediaJSON},
		{"exactly one", "image/vnd.dxf", MediaDXF},
		{"a range", "image/*", MediaSVG},
		{"what a browser sends for an image", "image/avif,image/webp,image/svg+xml,image/*;q=0.8,*/*;q=0.5", MediaSVG},
		{"by weight", "image/svg+xml;q=0.4, application/json;q=0.7", MediaJSON},
		{"the more specific range decides", "image/*;q=0.9, image/svg+xml;q=0.1, application/json;q=0.5", MediaDXF},
		{"refused by weight zero", "application/json;q=0, */*", MediaSVG},
		{"nothing that is offered", "application/pdf", ""},
		{"only a refusal", "application/json;q=0", ""},
		{"case does not matter", "IMAGE/SVG+XML", MediaSVG},
		{"what cannot be read counts for nothing", "image/svg+xml;q=much", MediaJSON},
	} {
		headers := []string{row.accept}
		if row.accept == "" {
			headers = nil
		}
		if got := negotiate(headers, offered); got != row.want {
			t.Errorf("%s (%s): %q, want %q", row.why, row.accept, got, row.want)
		}
	}
}

func TestFileNames(t *testing.T) {
	for title, want := range map[string]string{
		"Harbour morning":             "harbour-morning",
		`../../etc/"quay"`:            "etc-quay",
		"Übersee\r\nSet-Cookie: gull": "bersee-set-cookie-gull",
		"灯台":                          "design",
		"":                            "design",
	} {
		if got := fileName(title); got != want {
			t.Errorf("%q becomes %q, want %q", title, got, want)
		}
	}
}
