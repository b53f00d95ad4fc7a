package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// axeFile holds rules of accessibility (WCAG 2 and good practice) as somebody else wrote them.
const axeFile = "../../.ci/page-checks/node_modules/axe-core/axe.min.js"

// axe reads the rules. Without them the test is skipped, but not where everything must be there.
func axe(t *testing.T) string {
	t.Helper()
	rules, err := os.ReadFile(axeFile)
	if errors.Is(err, fs.ErrNotExist) && os.Getenv("CI") != "true" {
		t.Skip("no rules to hold the page against; npm ci --prefix .ci/page-checks installs them")
	}
	if err != nil {
		t.Fatalf("the rules of accessibility, which npm ci --prefix .ci/page-checks installs: %v", err)
	}
	return string(rules)
}

// violation is what a rule has against the page: how bad it is, and the first places.
type violation struct {
	ID, Impact, Help string
	Places           []string
}

// looks are what the rules are asked of: how the page is built once, and its colours in both schemes, of one of each kind of thing it has, since
// weighing every word of a long page takes minutes. The insides of charts have a test of colours of their own.
var looks = []struct {
	scheme string
	width  int64
	of     string // what axe-core calls a context
	rules  string // and options
}{
	{"light", 1280, `{exclude: [["svg > *"]]}`, `{resultTypes: ["violations"], rules: {"color-contrast": {enabled: false}}}`},
	{"light", 1280, oneOfEach, colours},
	{"dark", 1280, oneOfEach, colours},
	{"dark", 400, `{exclude: [["svg > *"]]}`, `{resultTypes: ["violations"], runOnly: ["scrollable-region-focusable", "target-size"]}`},
}

const (
	oneOfEach = `{include: [["header"], ["#switches"], ["#short"], ["#each-game article:first-of-type"], ["#bench > ul"], ["#claims"], ["footer"]], exclude: [["svg > *"]]}`
	colours   = `{resultTypes: ["violations"], runOnly: ["color-contrast", "link-in-text-block"]}`
)

// accessible asks that no rule finds anything serious or critical, in light and dark, on a wide screen and on a phone's.
func accessible(t *testing.T, ctx context.Context) {
	do(t, ctx, chromedp.Evaluate(axe(t)+"; axe.version", nil))
	for _, l := range looks {
		do(t, ctx, emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: l.scheme}}),
			emulation.SetDeviceMetricsOverride(l.width, 900, 1, l.width < 500))
		for _, v := range against(t, ctx, l.of, l.rules) {
			if v.Impact == "serious" || v.Impact == "critical" {
				t.Errorf("%s, %d wide: %s (%s): %s %q", l.scheme, l.width, v.ID, v.Impact, v.Help, v.Places)
			}
		}
	}
	// What is wrong is found.
	do(t, ctx, chromedp.Evaluate(`document.body.insertAdjacentHTML("beforeend", "<div id=wrong><p style='color:#777;background:#666'>dim</p><img src='data:,'></div>")`, nil))
	if found := against(t, ctx, `"#wrong"`, `{}`); len(found) < 2 {
		t.Errorf("of two things wrong the rules find %v", found)
	}
	do(t, ctx, chromedp.Evaluate(`document.getElementById("wrong").remove()`, nil), emulation.SetEmulatedMedia(), emulation.SetDeviceMetricsOverride(1280, 900, 1, false))
}

// against are the violations in a part of the page.
func against(t *testing.T, ctx context.Context, part, rules string) (found []violation) {
	t.Helper()
	do(t, ctx, chromedp.Evaluate(`axe.run(`+part+`, `+rules+`).then((r) => r.violations.map((v) =>
		({id: v.id, impact: v.impact, help: v.help, places: v.nodes.slice(0, 3).map((n) => n.html.slice(0, 200) + " " + (n.failureSummary || "").slice(0, 300))})))`, &found,
		func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }))
	return found
}
