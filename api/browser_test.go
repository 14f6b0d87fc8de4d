package api

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"foldwright/testdata/outside"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	browserlog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// window is a browser window on a service of its own, and what was said and
// asked for in it.
type window struct {
	ctx context.Context
	url string

	mu        sync.Mutex
	said      []string
	requested []string
}

func openWindow(t *testing.T) *window {
	t.Helper()
	web := httptest.NewServer(newServer(t).Handler())
	t.Cleanup(web.Close)
	return openWindowAt(t, web.URL)
}

// openWindowAt skips the test where there is no browser.
func openWindowAt(t *testing.T, url string) *window {
	t.Helper()
	program := outside.Program(t, "chromium", "chromium-browser", "google-chrome")
	allocator, stop := chromedp.NewExecAllocator(t.Context(),
		chromedp.ExecPath(program), chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.NoFirstRun, chromedp.NoDefaultBrowserCheck, chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.WindowSize(900, 700))
	t.Cleanup(stop)
	ctx, shut := chromedp.NewContext(allocator)
	t.Cleanup(shut)
	w := &window{ctx: ctx, url: url}
	if err := chromedp.Listen(ctx, w.listen); err != nil {
		t.Fatal(err)
	}
	send(t, w, network.Enable, network.EnableParams{})
	send(t, w, browserlog.Enable, cdp.Empty{})
	send(t, w, runtime.Enable, cdp.Empty{})
	return w
}

// tooLong is more than any step needs.
const tooLong = time.Minute

func send[P, R any](t *testing.T, w *window, command cdp.Command[P, R], params P) {
	t.Helper()
	ctx, done := context.WithTimeout(w.ctx, tooLong)
	defer done()
	if _, err := chromedp.Call(ctx, command, params); err != nil {
		t.Fatal(err)
	}
}

// ask runs an action and gives what it answers.
func ask[R any](t *testing.T, w *window, action chromedp.Action[R]) R {
	t.Helper()
	ctx, done := context.WithTimeout(w.ctx, tooLong)
	defer done()
	answer, err := chromedp.Run(ctx, action)
	if err != nil {
		t.Fatal(err)
	}
	return answer
}

func (w *window) listen(event any) {
	w.mu.Lock()
	defer w.mu.Unlock()
	switch e := event.(type) {
	case *runtime.EventConsoleAPICalled:
		w.said = append(w.said, fmt.Sprintf("%s %v", e.Type, e.Args))
	case *runtime.EventExceptionThrown:
		w.said = append(w.said, e.ExceptionDetails.Text)
	case *browserlog.EventEntryAdded:
		w.said = append(w.said, e.Entry.Text+" "+e.Entry.URL)
	case *network.EventRequestWillBeSent:
		w.requested = append(w.requested, e.Request.URL)
	}
}

func (w *window) run(t *testing.T, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	ask(t, w, chromedp.Steps(steps...))
}

func (w *window) open(t *testing.T, path string) {
	t.Helper()
	w.run(t, chromedp.Navigate(w.url+path), chromedp.WaitReady(chromedp.CSS("body")))
}

// eval is the value of an expression in the page, as text.
func (w *window) eval(t *testing.T, expression string) string {
	t.Helper()
	return ask(t, w, chromedp.Evaluate[string]("String("+expression+")"))
}

// quiet checks that nothing went wrong in the window and nothing was asked for
// elsewhere.
func (w *window) quiet(t *testing.T) {
	t.Helper()
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, text := range w.said {
		t.Errorf("the browser says: %s", text)
	}
	for _, url := range w.requested {
		if !strings.HasPrefix(url, w.url+"/") && !strings.HasPrefix(url, "data:") {
			t.Errorf("the page asks for %s", url)
		}
	}
	if len(w.requested) == 0 {
		t.Error("nothing was asked for at all")
	}
}

func TestPagesAreWhole(t *testing.T) {
	w := openWindow(t)
	for _, path := range []string{"/", "/docs", "/v1/examples/harbour/embed", "/v1/examples/harbour/guide.html", "/v1/examples/ferry/guide.html"} {
		w.open(t, path)
		if broken := w.eval(t, `[...document.images].filter(i => i.loading !== "lazy" && !(i.complete && i.naturalWidth)).length`); broken != "0" {
			t.Errorf("%s: %s pictures are broken", path, broken)
		}
		if wide := w.eval(t, `document.documentElement.scrollWidth > innerWidth`); wide != "false" {
			t.Errorf("%s is wider than the window", path)
		}
		if unnamed := w.eval(t, `[...document.images].filter(i => !i.alt).length + [...document.querySelectorAll("input")].filter(i => !i.labels.length).length`); unnamed != "0" {
			t.Errorf("%s: %s pictures or fields have no name", path, unnamed)
		}
	}
	w.open(t, "/")
	w.run(t, chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("img[loading=lazy]").forEach(i => { i.loading = "eager" })`),
		chromedp.Poll[chromedp.Void]("[...document.images].every(i => i.complete && i.naturalWidth > 0)"))
	w.quiet(t)
}

// shownFrame is the number of the one frame that can be seen.
const shownFrame = `(() => {
	const seen = [...document.querySelectorAll(".view-frame")].map((f, i) => [f, i]).filter(([f]) => getComputedStyle(f).visibility === "visible");
	return seen.length === 1 ? seen[0][1] : seen.length + " at once";
})()`

func (w *window) shows(t *testing.T, what string, frame int, opening string) {
	t.Helper()
	if got := w.eval(t, shownFrame); got != fmt.Sprint(frame) {
		t.Errorf("%s: shows frame %s, want %d", what, got, frame)
	}
	if got := w.eval(t, `document.getElementById("opening").getAttribute("aria-valuetext")`); got != opening+" degrees" {
		t.Errorf("%s: the slider says %s, want %s degrees", what, got, opening)
	}
	if got := w.eval(t, `document.querySelector("figure").getAttribute("aria-label")`); !strings.HasSuffix(got, "opened to "+opening+" degrees") {
		t.Errorf("%s: the picture is called %s, want %s degrees", what, got, opening)
	}
}

func (w *window) picture(t *testing.T) []byte {
	t.Helper()
	return ask(t, w, chromedp.Screenshot(chromedp.CSS("figure")))
}

func TestEmbeddedSlider(t *testing.T) {
	w := openWindow(t)
	w.open(t, "/v1/examples/harbour/embed")
	w.shows(t, "at first", 30, "150")
	at150 := w.picture(t)
	// Arrow keys work before anything has the focus, and on the slider.
	w.run(t, chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowUp))
	w.shows(t, "arrow right and up", 32, "160")
	if bytes.Equal(w.picture(t), at150) {
		t.Error("the picture did not change")
	}
	w.run(t, chromedp.KeyEvent(kb.Home))
	w.shows(t, "home", 0, "0")
	w.run(t, chromedp.KeyEvent(kb.ArrowLeft))
	w.shows(t, "arrow left at the end", 0, "0")
	w.run(t, chromedp.KeyEvent(kb.End))
	w.shows(t, "end", 36, "180")
	w.run(t, chromedp.Focus(chromedp.CSS("#opening")), chromedp.KeyEvent(kb.ArrowLeft))
	w.shows(t, "arrow left on the slider", 35, "175")
	w.run(t, chromedp.Click(chromedp.CSS("#opening"))) // its middle
	w.shows(t, "click", 18, "90")
	w.quiet(t)
}

// Without scripts there is no slider that does nothing; the picture plays.
func TestEmbedWithoutScripts(t *testing.T) {
	w := openWindow(t)
	send(t, w, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	w.open(t, "/v1/examples/harbour/embed")
	if got := w.eval(t, `getComputedStyle(document.querySelector(".control")).display`); got != "none" {
		t.Errorf("the slider is shown: %s", got)
	}
	w.plays(t, "without scripts", shownFrame)
}

// plays checks that what an expression gives changes by itself.
func (w *window) plays(t *testing.T, what, expression string) {
	t.Helper()
	seen := []string{}
	for range 40 {
		if got := w.eval(t, expression); !slices.Contains(seen, got) {
			seen = append(seen, got)
		}
		if len(seen) > 3 {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Errorf("%s: stands still at %v", what, seen)
}

// An animated picture plays in an <img>, where there are no scripts, and shows
// the open spread to readers who ask for less motion.
func TestMovingPictureInAnImage(t *testing.T) {
	w := openWindow(t)
	show := func(options string) {
		t.Helper()
		w.open(t, "/docs") // a page of the same service, with nothing else that moves
		w.run(t, chromedp.Evaluate[chromedp.Void](`document.body.innerHTML = '<img alt="quay" src="/v1/examples/quay/view.svg?width=300&`+options+`">'`),
			chromedp.Poll[chromedp.Void]("document.images[0].complete && document.images[0].naturalWidth > 0"))
	}
	changes := func(element string) int {
		t.Helper()
		different := [][]byte{}
		for range 10 {
			if picture := ask(t, w, chromedp.Screenshot(chromedp.CSS(element))); !slices.ContainsFunc(different, func(d []byte) bool { return bytes.Equal(d, picture) }) {
				different = append(different, picture)
			}
			time.Sleep(150 * time.Millisecond)
		}
		return len(different)
	}
	show("animated=true")
	if n := changes("img"); n < 4 {
		t.Errorf("only %d different pictures", n)
	}
	show("opening=150")
	if n := changes("img"); n != 1 {
		t.Errorf("a still picture changes: %d", n)
	}
	w.quiet(t) // below, the picture is the whole page, for which a browser looks for an icon
	send(t, w, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: "reduce"}},
	})
	w.run(t, chromedp.Navigate(w.url+"/v1/examples/quay/view.svg?animated=true&width=300"))
	if n := changes("svg"); n != 1 {
		t.Errorf("moves though less motion is asked for: %d", n)
	}
}

// The embedded picture may stand in the frame of a page of another service; the
// other pages may not.
func TestFraming(t *testing.T) {
	w := openWindow(t)
	other := httptest.NewServer(http.HandlerFunc(func(to http.ResponseWriter, r *http.Request) {
		to.Header().Set("Content-Type", MediaHTML)
		fmt.Fprintf(to, `<!DOCTYPE html><title>Workshop</title><link rel="icon" href="data:,"><iframe src="%s%s" width="400" height="300"></iframe>`, w.url, r.URL.Path)
	}))
	t.Cleanup(other.Close)
	for path, allowed := range map[string]bool{"/v1/examples/quay/embed": true, "/docs": false, "/": false} {
		w.run(t, chromedp.Navigate(other.URL+path), chromedp.WaitReady(chromedp.CSS("iframe")), chromedp.Sleep(500*time.Millisecond))
		w.mu.Lock()
		refused := slices.ContainsFunc(w.said, func(text string) bool { return strings.Contains(text, "frame-ancestors") })
		w.said = nil
		w.mu.Unlock()
		if refused == allowed {
			t.Errorf("%s in a frame: refused %v", path, refused)
		}
	}
}
