package main

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rigslate/rigslate/export/report"
)

// keepsItsBoxes opens charts as files, as a viewer does that lacks the font that measured them: every text is as long as the chart says, and none meets
// another, in the fonts named for that case and in much wider, narrower and other ones. Browsers set letters at whole parts of a pixel, so a length may be off
// by two units of 1920.
func keepsItsBoxes(t *testing.T, ctx context.Context, s report.Source) {
	files, err := report.Files(s, report.SVGCharts)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"fjord-plain-uhd.wide.light", "kelp-plain-uhd.tall.dark", "summary-all-uhd.wide.clear", "frames-quarry-plain-uhd.tall.light",
		"soak-half_hour-curves.wide.light", "distribution-fjord-plain-uhd.wide.dark"} {
		i := slices.IndexFunc(files, func(f report.File) bool { return f.Path == "charts/"+name+".svg" })
		if i < 0 {
			t.Fatalf("no chart %s", name)
		}
		svg, err := files[i].Make()
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(t.TempDir(), name+".svg")
		if err := os.WriteFile(path, svg, 0o666); err != nil {
			t.Fatal(err)
		}
		do(t, ctx, chromedp.Navigate("file://"+filepath.ToSlash(path)))
		for _, family := range []string{"", "DejaVu Sans", "Liberation Sans Narrow", "DejaVu Sans Mono", "serif"} {
			var texts int
			var wrong []string
			do(t, ctx, chromedp.Evaluate(`document.querySelectorAll("text").length`, &texts), chromedp.Evaluate(`(() => {
				const root = document.documentElement, family = "`+family+`", wrong = [];
				if (family) { root.setAttribute("font-family", family); }
				const texts = Array.from(document.querySelectorAll("text")).map((e) => ({ e: e, b: e.getBBox(), size: +e.getAttribute("font-size") }));
				texts.forEach((t, i) => {
					const length = +t.e.getAttribute("textLength");
					if (Math.abs(t.b.width - length) > 2) { wrong.push(t.e.textContent + ": " + t.b.width + " long, said is " + length); }
					texts.slice(i + 1).forEach((o) => {
						const across = Math.min(t.b.x + t.b.width, o.b.x + o.b.width) - Math.max(t.b.x, o.b.x);
						const down = Math.min(t.b.y + t.b.height, o.b.y + o.b.height) - Math.max(t.b.y, o.b.y);
						if (across > 1 && down > 0.1 * Math.min(t.size, o.size)) { wrong.push(t.e.textContent + " meets " + o.e.textContent); }
					});
				});
				return wrong;
			})()`, &wrong))
			if texts < 10 || len(wrong) > 0 {
				t.Errorf("%s in %q: %d texts; %s", name, family, texts, strings.Join(wrong, "; "))
			}
		}
	}
}
