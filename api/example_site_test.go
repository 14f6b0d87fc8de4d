package api

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"foldwright/storage"
	"foldwright/storage/access"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// exampleSite is the workshop's site of deploy/example-site, at an origin of its
// own, and the service it asks with the browser key it carries.
type exampleSite struct {
	*window
	service string
	refusal atomic.Pointer[refusal]
}

// newExampleSite opens it; known tells whether the key names its origin.
func newExampleSite(t *testing.T, known bool) *exampleSite {
	t.Helper()
	s := exampleSiteOf(t, known, Config{})
	s.open(t, "/")
	return s
}

// exampleSiteOf is the site of a service set so, not yet opened.
func exampleSiteOf(t *testing.T, known bool, config Config) *exampleSite {
	t.Helper()
	h := newHarbour(t, config)
	s := &exampleSite{}
	service := httptest.NewServer(s.before(h.Handler()))
	t.Cleanup(service.Close)
	key := ""
	policy := advisedPolicy(t)
	site := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := filepath.Base(r.URL.Path)
		if r.URL.Path == "/" {
			name = "index.html"
		}
		w.Header().Set("Content-Security-Policy", strings.ReplaceAll(policy, "SERVICE", service.URL))
		file := filepath.Join("../deploy/example-site", name)
		if name != "index.html" {
			http.ServeFile(w, r, file)
			return
		}
		page, err := os.ReadFile(file)
		if err != nil {
			t.Error(err)
		}
		w.Header().Set("Content-Type", MediaHTML)
		_, _ = w.Write([]byte(strings.NewReplacer(
			`data-service="https://foldwright.workshop.example"`, `data-service="`+service.URL+`"`,
			`data-key="foldwright_key_"`, `data-key="`+key+`"`).Replace(string(page))))
	}))
	t.Cleanup(site.Close)
	origin := site.URL
	if !known {
		origin = workshop
	}
	key = h.addKey(t, "quay", storage.NewKey{Scope: access.Browser, Origins: []string{origin}}, false)
	s.window, s.service = openWindowAt(t, site.URL), service.URL
	return s
}

// advisedPolicy is what the README tells sites to send, so that it is tried too.
func advisedPolicy(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../deploy/example-site/README.md")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`(?m)^    (default-src .+)$`).FindSubmatch(text)
	if found == nil {
		t.Fatal("the README tells no Content-Security-Policy")
	}
	return string(found[1])
}

const (
	// settled is when the page has the answers to what was typed last.
	settled = `!document.body.hasAttribute("aria-busy") && document.getElementById("verdict").textContent !== "Looking…"`
	field   = `document.querySelector('#fields [data-pointer="POINTER"]')`
)

func (s *exampleSite) wait(t *testing.T, until string) {
	t.Helper()
	s.run(t, chromedp.Poll[chromedp.Void](until))
}

// enter writes into the field of a pointer as somebody would.
func (s *exampleSite) enter(t *testing.T, pointer, value string) {
	t.Helper()
	at := strings.ReplaceAll(field, "POINTER", pointer)
	s.run(t, chromedp.Evaluate[chromedp.Void](`(() => { const f = `+at+`; f.value = "`+value+`"; f.dispatchEvent(new Event("input", {bubbles: true})); })()`))
}

// nothing checks that the browser has nothing to complain of, and that only the
// site and its service were asked.
func (s *exampleSite) nothing(t *testing.T) {
	t.Helper()
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, text := range s.said {
		if strings.Contains(text, "422 (Unprocessable Entity)") {
			continue // the browser notes down what the page tells at the field
		}
		t.Errorf("the browser says: %s", text)
	}
	for _, url := range s.requested {
		if !slices.ContainsFunc([]string{s.url + "/", s.service + "/", "data:", "blob:" + s.url}, func(p string) bool { return strings.HasPrefix(url, p) }) {
			t.Errorf("the site asks for %s", url)
		}
	}
}

// Every kind can be chosen and gives a picture and a form whose fields are
// named.
func TestExampleSiteShowsEveryKind(t *testing.T) {
	s := newExampleSite(t, true)
	var catalogue MechanismCatalogue
	decode(t, get(t, newServer(t), "/v1/mechanisms"), &catalogue)
	s.wait(t, settled+` && document.querySelectorAll("#kinds input").length === `+jsonOf(t, len(catalogue.Kinds)))
	for _, k := range catalogue.Kinds {
		before := s.eval(t, `document.getElementById("picture").src`)
		s.run(t, chromedp.Evaluate[chromedp.Void](`document.getElementById("verdict").textContent = "Looking…"; document.querySelector('#kinds input[value=`+k.Kind+`]').checked = false; document.querySelector('#kinds input[value=`+k.Kind+`]').click()`))
		s.wait(t, settled+` && document.getElementById("picture").src !== "`+before+`"`)
		if w := s.eval(t, `document.getElementById("picture").naturalWidth > 0`); w != "true" {
			t.Errorf("%s gives no picture", k.Kind)
		}
		if title := s.eval(t, `document.querySelector("#fields legend").textContent`); !strings.EqualFold(strings.ReplaceAll(title, " ", "_"), k.Kind) {
			t.Errorf("%s: the form is for %s", k.Kind, title)
		}
		if unnamed := s.eval(t, `[...document.querySelectorAll("input, select, textarea")].filter(i => !i.labels.length || [...i.labels].every(l => !l.textContent.trim())).length`); unnamed != "0" {
			t.Errorf("%s: %s fields have no name", k.Kind, unnamed)
		}
		if hidden := s.eval(t, `document.getElementById("status").hidden`); hidden != "true" {
			t.Errorf("%s: %s", k.Kind, s.eval(t, `document.getElementById("status").textContent`))
		}
	}
	s.nothing(t)
}

func jsonOf(t *testing.T, v any) string {
	t.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// A number out of its range is told at its field; a mechanism that cannot shut
// is told at its own, and the remedy cures it.
func TestExampleSiteTellsFindingsAtFields(t *testing.T) {
	s := newExampleSite(t, true)
	s.wait(t, settled)
	const verdict = `document.getElementById("verdict").textContent`
	s.run(t, chromedp.Evaluate[chromedp.Void](`document.querySelector("#kinds input[value=strap]").click()`))
	s.wait(t, `document.querySelector("#fields legend").textContent === "Strap"`)
	s.wait(t, settled)

	width := strings.ReplaceAll(field, "POINTER", "/spread/page_width")
	good := s.eval(t, width+`.value`)
	s.enter(t, "/spread/page_width", "5")
	s.wait(t, width+`.getAttribute("aria-invalid") === "true"`)
	// The range is the contract's.
	if said := s.eval(t, `document.getElementById(`+width+`.id + "-said").textContent`); !strings.Contains(said, "20") {
		t.Errorf("at the field it says %q", said)
	}
	s.enter(t, "/spread/page_width", good)
	s.wait(t, `!document.querySelector("[aria-invalid]") && `+settled)

	s.run(t, chromedp.Evaluate[chromedp.Void](`document.querySelector("#kinds input[value=parallel_fold]").click()`))
	s.wait(t, `document.querySelector("#fields legend").textContent === "Parallel fold"`)
	s.wait(t, settled)
	entry := s.eval(t, `document.querySelector("#fields .group").dataset.pointer`)
	s.run(t, chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("#fields details").forEach(d => { d.open = true })`))
	for _, side := range []string{"base_offset", "panel_width"} { // the right side is the left's mirror but for 5 mm
		left := s.eval(t, strings.ReplaceAll(field, "POINTER", entry+"/left/"+side)+`.value`)
		if side == "panel_width" {
			left = s.eval(t, `Number(`+left+`) + 5`)
		}
		s.enter(t, entry+"/right/"+side, left)
	}
	s.wait(t, `document.querySelector("#fields .finding.error button")`)
	if got := s.eval(t, verdict); got != "It does not work yet" {
		t.Errorf("the crushed tent: %q", got)
	}
	s.run(t, chromedp.Click(chromedp.CSS("#fields .finding.error button")))
	s.wait(t, settled+` && !document.querySelector(".finding.error")`)
	if got := s.eval(t, verdict); got == "It does not work yet" {
		t.Errorf("after the remedy: %q", got)
	}
}

// What is taken home is the pattern, in millimetres.
func TestExampleSiteDownloads(t *testing.T) {
	s := newExampleSite(t, true)
	s.wait(t, settled)
	s.run(t, chromedp.Evaluate[chromedp.Void](`
		const blobs = {}, url = URL.createObjectURL;
		URL.createObjectURL = (blob) => { const at = url(blob); blobs[at] = blob; return at; };
		HTMLAnchorElement.prototype.click = function () {
			const name = this.download;
			blobs[this.href].text().then(text => { (window.taken ??= {})[name] = text; });
		}`))
	for _, ending := range []string{"svg", "dxf", "pdf"} {
		s.run(t, chromedp.Click(chromedp.CSS(`#downloads [data-ending=`+ending+`]`)))
		s.wait(t, `!!window.taken?.["v_fold.`+ending+`"]`)
	}
	if begins := s.eval(t, `taken["v_fold.dxf"].trimStart().slice(0, 1) + taken["v_fold.pdf"].slice(0, 5)`); begins != "0%PDF-" {
		t.Errorf("DXF and PDF begin with %q", begins)
	}
	svg := `new DOMParser().parseFromString(taken["v_fold.svg"], "image/svg+xml").documentElement`
	// SVG 2, 8.2: a width in mm with the viewBox as wide is true to size.
	if got := s.eval(t, `(e => e.getAttribute("width").endsWith("mm") && Math.abs(parseFloat(e.getAttribute("width")) - e.viewBox.baseVal.width) < 1e-3)(`+svg+`)`); got != "true" {
		t.Errorf("the SVG is not in millimetres: %s", s.eval(t, svg+`.outerHTML.slice(0, 200)`))
	}
	s.nothing(t)
}

// A site that the key does not name learns nothing, and its visitors are told.
func TestExampleSiteElsewhereIsRefused(t *testing.T) {
	s := newExampleSite(t, false)
	s.wait(t, `!document.getElementById("status").hidden`)
	if got := s.eval(t, `document.getElementById("status").textContent`); !strings.Contains(got, "does not know this site") {
		t.Errorf("visitors are told %q", got)
	}
	if got := s.eval(t, `document.getElementById("picture").hidden`); got != "true" {
		t.Error("there is a picture all the same")
	}
}

// Neither a narrow window nor one without a mouse leaves anything out of reach.
func TestExampleSiteOnATelephone(t *testing.T) {
	s := newExampleSite(t, true)
	send(t, s.window, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: 360, Height: 740, DeviceScaleFactor: 1, Mobile: true})
	s.open(t, "/")
	s.wait(t, settled)
	if got := s.eval(t, `document.documentElement.scrollWidth <= 360`); got != "true" {
		t.Errorf("the page is %s wide", s.eval(t, `document.documentElement.scrollWidth`))
	}
	s.nothing(t)
}
