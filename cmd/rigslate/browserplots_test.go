package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
)

// The plot that is read: the demo's quarry has hitches, which a reduction must not lose.
const plotFigure = `figure[role=application]:has(svg[aria-labelledby^=frames-quarry-plain-uhd])`

// readsPlots asks of the frame times of one game what the archived frames say: by mouse, by keys and by a finger, with a stretch enlarged.
func readsPlots(t *testing.T, ctx context.Context, s report.Source) {
	if n := shownOf(t, ctx, "figure[role=application]"); n < 13 {
		t.Fatalf("%d plots can be read", n)
	}
	card, ms, at := longestFrame(t, s)
	do(t, ctx, emulation.SetDeviceMetricsOverride(1280, 900, 1, false), chromedp.ScrollIntoView(plotFigure), chromedp.Evaluate(
		`document.querySelector("`+plotFigure+`").scrollIntoView({block: "center", behavior: "instant"})`, nil))
	x, y := placeOf(t, ctx, at)

	do(t, ctx, chromedp.MouseEvent(input.MouseMoved, x, y))
	checkRead(t, "mouse", readings(t, ctx), card, ms)

	// A stretch is dragged over: the frame stands where it is in time, on a scale that is another.
	do(t, ctx, chromedp.MouseEvent(input.MousePressed, x-60, y, chromedp.ButtonLeft, chromedp.ClickCount(1)),
		chromedp.MouseEvent(input.MouseMoved, x, y, chromedp.ButtonLeft), chromedp.MouseEvent(input.MouseReleased, x+60, y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
	if shown := barOf(t, ctx); !strings.Contains(shown, "shown ") {
		t.Errorf("nothing was enlarged: %s", shown)
	}
	wide := pathsOf(t, ctx)
	x, y = placeOf(t, ctx, at+ms/2000) // the column in which it ends and another begins
	do(t, ctx, chromedp.MouseEvent(input.MouseMoved, x, y))
	if read := readings(t, ctx); len(read) <= card || !strings.Contains(read[card], " to ") {
		t.Errorf("one figure of a column of two frames: %q", read)
	} else {
		checkRead(t, "mouse in a stretch", read, card, ms)
	}

	do(t, ctx, chromedp.Focus(plotFigure), chromedp.KeyEvent(kb.Escape))
	if whole := pathsOf(t, ctx); whole == wide || len(readings(t, ctx)) != 0 {
		t.Error("Escape does not show all")
	}

	// Home is the first frame of every pass, and what is read is said.
	do(t, ctx, chromedp.KeyEvent(kb.Home))
	first := readings(t, ctx)
	do(t, ctx, chromedp.Poll(`Array.from(document.querySelectorAll("[aria-live]")).some((e) => {
		const m = /([\d.]+) s: /.exec(e.textContent), begins = +document.querySelector("`+plotFigure+` [data-plot]").dataset.plot.split(" ")[4];
		return m && Math.abs(m[1] - begins) < 0.02;
	})`, nil))
	do(t, ctx, chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent("+"), chromedp.KeyEvent("+"))
	if next := readings(t, ctx); slices.Equal(next, first) || !strings.Contains(barOf(t, ctx), "shown ") {
		t.Errorf("the keys do nothing: %s, %q", next, barOf(t, ctx))
	}
	do(t, ctx, chromedp.KeyEvent("-"), chromedp.KeyEvent("-"))
	if strings.Contains(barOf(t, ctx), "shown ") {
		t.Errorf("two steps out are not all: %q", barOf(t, ctx))
	}
	do(t, ctx, chromedp.KeyEvent(kb.Escape))

	x, y = placeOf(t, ctx, at)
	do(t, ctx, emulation.SetTouchEmulationEnabled(true), input.DispatchTouchEvent(input.TouchStart, []*input.TouchPoint{{X: x, Y: y}}),
		input.DispatchTouchEvent(input.TouchEnd, []*input.TouchPoint{}), emulation.SetTouchEmulationEnabled(false))
	checkRead(t, "finger", readings(t, ctx), card, ms)
	do(t, ctx, chromedp.Focus(plotFigure), chromedp.KeyEvent(kb.Escape))
}

// longestFrame is that of the passes shown of the plot's game, from the archived frames: of which card's lane, how long in ms, and the middle
// of its time in seconds.
func longestFrame(t *testing.T, s report.Source) (lane int, ms, at float64) {
	t.Helper()
	for i, m := range s.Words.Modes {
		var passes []archive.RunRow
		for _, r := range s.Tables.Runs {
			if r.Card == m.Card && r.Mode == m.Mode.Mode && r.Game == "quarry" && r.Resolution == "uhd" && r.Status == "used" {
				passes = append(passes, r)
			}
		}
		slices.SortFunc(passes, func(a, b archive.RunRow) int { return int(math.Copysign(1, *a.MeanFPS-*b.MeanFPS)) })
		middle := passes[(len(passes)-1)/2].RunID // of three the second
		frames, err := s.Frames(m.Card, []string{middle})
		if err != nil {
			t.Fatal(err)
		}
		before := float64(frames[middle].StartNS) / 1e9
		for _, ns := range frames[middle].NS {
			if x := float64(ns) / 1e6; x > ms {
				lane, ms, at = i, x, before+x/2000
			}
			before += float64(ns) / 1e9
		}
	}
	return lane, ms, at
}

// placeOf is where a time stands in the window, by what the plot says of its places and of the stretch shown.
func placeOf(t *testing.T, ctx context.Context, seconds float64) (x, y float64) {
	t.Helper()
	var got []float64
	do(t, ctx, chromedp.Evaluate(`(() => {
		const f = document.querySelector("`+plotFigure+`"), svg = f.querySelector("svg"), box = svg.getBoundingClientRect();
		const n = f.querySelector("[data-plot]").dataset.plot.split(" ").map(Number), m = /shown ([\d.]+) s to ([\d.]+) s/.exec(f.nextSibling.textContent);
		const a = m ? +m[1] : n[4], b = m ? +m[2] : n[5], k = box.width / svg.viewBox.baseVal.width;
		return [box.left + k * (n[0] + (`+strconv.FormatFloat(seconds, 'g', -1, 64)+` - a) / (b - a) * (n[2] - n[0])), box.top + box.height / 2];
	})()`, &got))
	return got[0], got[1]
}

func readings(t *testing.T, ctx context.Context) (out []string) {
	t.Helper()
	do(t, ctx, chromedp.Evaluate(`Array.from(document.querySelectorAll("`+plotFigure+` .reading text")).map((e) => e.textContent)`, &out))
	return out
}

func barOf(t *testing.T, ctx context.Context) (out string) {
	t.Helper()
	do(t, ctx, chromedp.Evaluate(`document.querySelector("`+plotFigure+`").nextSibling.textContent`, &out))
	return out
}

func pathsOf(t *testing.T, ctx context.Context) (out string) {
	t.Helper()
	var nodes []*cdp.Node
	do(t, ctx, chromedp.Nodes(plotFigure+" path.trace", &nodes, chromedp.ByQueryAll))
	for _, n := range nodes {
		out += n.AttributeValue("d") + "\n"
	}
	return out
}

// checkRead holds the longest figure of a lane against a frame: places are tenths of a unit, so a figure may be off by one in its last digit.
func checkRead(t *testing.T, how string, read []string, lane int, ms float64) {
	t.Helper()
	if len(read) <= lane {
		t.Errorf("%s: read %q", how, read)
		return
	}
	var low, high float64
	words := strings.ReplaceAll(read[lane], " to ", " ")
	if n, _ := fmt.Sscanf(words, "%g %g ms", &low, &high); n == 1 {
		high = low
	}
	if math.Abs(high-ms) > 0.01*ms+0.1 {
		t.Errorf("%s: read %q, the longest frame there takes %.1f ms", how, read[lane], ms)
	}
}
