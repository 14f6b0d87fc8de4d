package view

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/testdata/outside"
)

func animate(t testing.TB, a *kinematics.Assembly, o AnimateOptions) string {
	t.Helper()
	var b bytes.Buffer
	if err := Animate(&b, a, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var (
	keyframes = regexp.MustCompile(`@keyframes view-f(\d+)\{((?:[^{}]+\{visibility:\w+\})+)\}`)
	keyframe  = regexp.MustCompile(`([^{}]+)\{visibility:(\w+)\}`)
)

// stretch is from when on a frame is seen, or is not, in per cent of the cycle.
type stretch struct {
	from    float64
	visible bool
}

// readKeyframes reads the style sheet, by frame.
func readKeyframes(t testing.TB, svg string) [][]stretch {
	t.Helper()
	var out [][]stretch
	for i, m := range keyframes.FindAllStringSubmatch(svg, -1) {
		if m[1] != strconv.Itoa(i) {
			t.Fatalf("keyframes of frame %s, want those of %d", m[1], i)
		}
		var frame []stretch
		for _, k := range keyframe.FindAllStringSubmatch(m[2], -1) {
			for at := range strings.SplitSeq(k[1], ",") {
				v, err := strconv.ParseFloat(strings.TrimSuffix(at, "%"), 64)
				if n := len(frame); err != nil || n > 0 && v < frame[n-1].from {
					t.Fatalf("frame %d: %q is out of turn", i, at)
				}
				frame = append(frame, stretch{v, k[2] == "visible"})
			}
		}
		out = append(out, frame)
	}
	return out
}

// seenFrames tells which frames are seen at a part of the cycle. Keyframes hold
// until the next one.
func seenFrames(frames [][]stretch, percent float64) (seen []int) {
	for i, frame := range frames {
		visible := false
		for _, s := range frame {
			if s.from <= percent {
				visible = s.visible
			}
		}
		if visible {
			seen = append(seen, i)
		}
	}
	return seen
}

// At any time one frame is seen, and they go from the first to the last and
// back.
func TestAnimationShowsOneFrameAtATime(t *testing.T) {
	a := compile(t, harbour)
	for _, frames := range []int{2, 3, 25} {
		read := readKeyframes(t, animate(t, a, AnimateOptions{Frames: frames}))
		last, highest := 0, 0
		for k := range 10000 {
			seen := seenFrames(read, (float64(k)+0.5)/100)
			if len(seen) != 1 {
				t.Fatalf("%d frames, at %g%%: %v are seen", frames, (float64(k)+0.5)/100, seen)
			}
			if d := seen[0] - last; d > 1 || d < -1 || d > 0 && k > 5000 || d < 0 && k < 5000 {
				t.Fatalf("%d frames, at %g%%: frame %d after %d", frames, (float64(k)+0.5)/100, seen[0], last)
			}
			last = seen[0]
			highest = max(highest, last)
		}
		if last != 0 || highest != frames-1 {
			t.Errorf("%d frames: the last seen is %d, the highest %d", frames, last, highest)
		}
	}
}

// Whoever asks for no motion, or cannot show it, sees one frame: the nearest to
// the opening asked for.
func TestAnimationHasAStill(t *testing.T) {
	a := compile(t, harbour)
	for _, c := range []struct {
		o    AnimateOptions
		want string
	}{
		{AnimateOptions{}, "#view-f24{visibility:visible}"},
		{AnimateOptions{Still: radians(90)}, "#view-f12{visibility:visible}"},
		{AnimateOptions{From: radians(180), To: radians(20), Frames: 9}, "#view-f8{visibility:visible}"},
		{AnimateOptions{Drives: byOpening([]geom.Angle{0, 1, 2})}, "#view-f2{visibility:visible}"},
	} {
		svg := animate(t, a, c.o)
		still, moving, found := strings.Cut(svg, "@media (prefers-reduced-motion:no-preference){")
		if !found || strings.Contains(still, "animation") || !strings.Contains(moving, "animation:view-f0 ") {
			t.Fatal("the motion does not depend on what the reader asks for")
		}
		if !strings.HasSuffix(still, ".view-frame{visibility:hidden}"+c.want) {
			t.Errorf("still: …%s, want %s", still[len(still)-60:], c.want)
		}
	}
}

// The moving picture is a document of its own of bearable size, with one frame
// around all its pictures.
func TestAnimationIsSound(t *testing.T) {
	a := compile(t, harbour)
	o := AnimateOptions{Options: Options{Shadow: true, Labels: true, Background: "#fff", Dimensions: Dimensions()}}
	svg := animate(t, a, o)
	if svg != animate(t, a, o) {
		t.Error("the same picture has different bytes the second time")
	}
	if len(svg) > 400_000 {
		t.Errorf("%d bytes", len(svg))
	}
	if strings.Contains(svg, "<script") || strings.Contains(svg, "href") {
		t.Error("not on its own")
	}
	elements := parse(t, svg)
	width, height := attr(t, elements[0], "width"), attr(t, elements[0], "height")
	frames := 0
	ids := map[string]bool{}
	clip := false
	for _, e := range elements {
		if id := e.attrs["id"]; id != "" {
			if ids[id] {
				t.Errorf("the id %s is used twice", id)
			}
			ids[id] = true
		}
		if e.attrs["class"] == "view-frame" {
			frames++
		}
		clip = e.name == "clipPath" || clip && (e.name != "path" || e.attrs["stroke"] == "")
		if e.name != "path" || clip { // shadows may run out of the frame
			continue
		}
		for i, s := range pathNumber.FindAllString(e.attrs["d"], -1) {
			v, err := strconv.ParseFloat(s, 64)
			if most := [2]float64{width, height}[i%2]; err != nil || v < 0 || v > most {
				t.Fatalf("%s is outside the %g by %g px of the picture", s, width, height)
			}
		}
	}
	if frames != DefaultFrames {
		t.Errorf("%d frames, want %d", frames, DefaultFrames)
	}
}

func TestAnimateOptionsAreChecked(t *testing.T) {
	a := compile(t, spread(""))
	for _, c := range []struct {
		o    AnimateOptions
		want string
	}{
		{AnimateOptions{Frames: 1}, "Frames"},
		{AnimateOptions{Frames: MaxFrames + 1}, "Frames"},
		{AnimateOptions{Seconds: -1}, "Seconds"},
		{AnimateOptions{Seconds: math.NaN()}, "Seconds"},
		{AnimateOptions{Pause: MaxSeconds + 1}, "Pause"},
		{AnimateOptions{To: geom.Angle(math.Inf(1))}, "From"},
		{AnimateOptions{Options: Options{Width: 1}}, "Width"},
		{AnimateOptions{Drives: []kinematics.Drive{{}, {Hand: []float64{1}}}}, "Drives"},
	} {
		var b bytes.Buffer
		var fault *OptionError
		if err := Animate(&b, a, c.o); !errors.As(err, &fault) || fault.Option != c.want || b.Len() > 0 {
			t.Errorf("%+v: %v, want a fault of %s", c.o, err, c.want)
		}
	}
}

// A browser moves the picture inside an image: it starts with the book shut, and
// shows it open where less motion is asked for.
func TestAnimationInABrowser(t *testing.T) {
	chromium := outside.Program(t, "chromium")
	svg := animate(t, compile(t, harbour), AnimateOptions{Options: Options{Width: 400, Background: "#fff"}, Pause: 30})
	dir := t.TempDir()
	page := filepath.Join(dir, "page.html")
	html := `<!DOCTYPE html><body style="margin:0"><img src="data:image/svg+xml;base64,` +
		base64.StdEncoding.EncodeToString([]byte(svg)) + `">`
	if err := os.WriteFile(page, []byte(html), 0o644); err != nil {
		t.Fatal(err)
	}
	// paper is how many pixels are not white.
	paper := func(name string, flags ...string) int {
		shot := filepath.Join(dir, name+".png")
		args := append([]string{
			"--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--hide-scrollbars",
			"--user-data-dir=" + filepath.Join(dir, name), "--window-size=500,500", "--screenshot=" + shot,
		}, flags...)
		if out, err := exec.Command(chromium, append(args, "file://"+page)...).CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		file, err := os.Open(shot)
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		img, err := png.Decode(file)
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for y := range img.Bounds().Dy() {
			for x := range img.Bounds().Dx() {
				if r, g, b, _ := img.At(x, y).RGBA(); r+g+b < 3*0xfc00 {
					n++
				}
			}
		}
		return n
	}
	shut, open := paper("moving"), paper("still", "--force-prefers-reduced-motion")
	if shut == 0 || open < 10*shut {
		t.Errorf("%d px of paper when it starts, %d when it stands still", shut, open)
	}
}

// Frames can follow what a hand moves.
func TestAnimationByHand(t *testing.T) {
	a := compile(t, spread(handDriven))
	var drives []kinematics.Drive
	for k := range 4 {
		hand := a.Rest()
		hand[a.DriverIndex("hatch.angle")] = float64(k)
		drives = append(drives, kinematics.Drive{Opening: radians(160), Hand: hand})
	}
	svg := animate(t, a, AnimateOptions{Drives: drives})
	elements := parse(t, svg)
	if got, want := elements[1].text, "Spread, hatch.angle 0° to 171.9°"; got != want {
		t.Errorf("title %q, want %q", got, want)
	}
	var flaps []string
	for i, e := range elements {
		if e.attrs["data-panel"] == "hatch.flap" {
			flaps = append(flaps, elements[i+1].attrs["d"])
		}
	}
	if len(flaps) != 4 || flaps[0] == flaps[1] || flaps[1] == flaps[2] || flaps[2] == flaps[3] {
		t.Errorf("the flap does not move: %v", flaps)
	}
	var b bytes.Buffer
	if err := StripDrives(&b, a, drives, Options{}); err != nil {
		t.Fatal(err)
	}
	var captions []string
	for _, e := range parse(t, b.String()) {
		if e.name == "text" {
			captions = append(captions, e.text)
		}
	}
	if got := fmt.Sprint(captions); got != "[0° 57.3° 114.6° 171.9°]" {
		t.Errorf("captions %s", got)
	}
}
