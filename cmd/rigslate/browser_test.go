package main

import (
	"context"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// browser starts a headless Chromium. Where there is none the test is skipped, but not where everything must be there.
func browser(t *testing.T) context.Context {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU, chromedp.WSURLReadTimeout(time.Minute))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	if err := chromedp.Run(ctx); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("no Chromium, which the tests of pages need: %v", err)
		}
		t.Skipf("no Chromium to look at the page with: %v", err)
	}
	return ctx
}

// heard is what a page asked for and complained of.
type heard struct {
	sync.Mutex
	requests, complaints []string
}

func listen(ctx context.Context) *heard {
	h := &heard{}
	chromedp.ListenTarget(ctx, func(event any) {
		h.Lock()
		defer h.Unlock()
		switch e := event.(type) {
		case *network.EventRequestWillBeSent:
			h.requests = append(h.requests, e.Request.URL)
		case *runtime.EventExceptionThrown:
			h.complaints = append(h.complaints, e.ExceptionDetails.Error())
		case *runtime.EventConsoleAPICalled:
			h.complaints = append(h.complaints, "console "+string(e.Type))
		case *log.EventEntryAdded: // what the browser says itself, of a refused load or script above all
			h.complaints = append(h.complaints, e.Entry.Text)
		case *page.EventJavascriptDialogOpening:
			h.complaints = append(h.complaints, "dialog "+e.Message)
		}
	})
	return h
}

// check asks that pages loaded themselves alone and complained of nothing.
func (h *heard) check(t *testing.T, what string, selves ...string) {
	t.Helper()
	h.Lock()
	defer h.Unlock()
	for _, url := range h.requests {
		own := slices.Contains(selves, url) || len(selves) == 0 && strings.HasPrefix(url, "file://")
		if !own && !strings.HasSuffix(url, "/favicon.ico") { // the browser's own wish
			t.Errorf("%s: %s was asked for", what, url)
		}
	}
	if len(h.complaints) > 0 {
		t.Errorf("%s: %v", what, h.complaints)
	}
}

// see is what the page's own eyes say: seen counts what takes room on the screen.
const seen = `(selector) => Array.from(document.querySelectorAll(selector)).filter((e) => e.getClientRects().length > 0).length`

func shownOf(t *testing.T, ctx context.Context, selector string) (n int) {
	t.Helper()
	if err := chromedp.Run(ctx, chromedp.Evaluate("("+seen+")("+quoted(selector)+")", &n)); err != nil {
		t.Fatal(err)
	}
	return n
}

func quoted(s string) string { return "`" + s + "`" }

func do(t *testing.T, ctx context.Context, actions ...chromedp.Action) {
	t.Helper()
	if err := chromedp.Run(ctx, actions...); err != nil {
		t.Fatal(err)
	}
}

// A page from disk and one from a server are the same: they ask for themselves alone and complain of nothing, sort, switch, fit a phone, keep
// every table without script and print every section.
func TestPageInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("drives a browser, which the race detector does not see")
	}
	ctx := browser(t)
	folder, source := demoReport(t)
	file := "file://" + filepath.ToSlash(filepath.Join(folder, "index.html"))
	server := httptest.NewServer(http.FileServer(http.Dir(folder)))
	t.Cleanup(server.Close)
	h := listen(ctx)
	do(t, ctx, network.Enable(), runtime.Enable(), log.Enable(), page.Enable(), emulation.SetDeviceMetricsOverride(1280, 900, 1, false))
	for _, at := range []string{server.URL + "/", file} {
		do(t, ctx, chromedp.Navigate(at), chromedp.WaitVisible("#switches"))
		h.check(t, at, server.URL+"/", file)
	}
	t.Run("sort", func(t *testing.T) { sorts(t, ctx) })
	t.Run("switch", func(t *testing.T) { switches(t, ctx) })
	t.Run("plots", func(t *testing.T) { readsPlots(t, ctx, source) })
	t.Run("accessible", func(t *testing.T) { accessible(t, ctx) })
	t.Run("phone", func(t *testing.T) { fitsAPhone(t, ctx) })
	t.Run("no script", func(t *testing.T) { withoutScript(t, ctx, file) })
	t.Run("print", func(t *testing.T) { prints(t, ctx, file) })
	h.check(t, "after everything", server.URL+"/", file)
	t.Run("other fonts", func(t *testing.T) { keepsItsBoxes(t, ctx, source) })
	t.Run("hostile names", func(t *testing.T) { withstandsNames(t, ctx, source) })
}

// sorts clicks a head twice and reads the column both times.
func sorts(t *testing.T, ctx context.Context) {
	column := `Array.from(document.querySelectorAll("#glance tbody tr")).map((r) => r.cells[1].dataset.sort || "").filter((x) => x).map(Number)`
	for _, down := range []bool{true, false} {
		var got []float64
		var order string
		do(t, ctx, chromedp.Click("#glance thead th:nth-child(2) button"), chromedp.Evaluate(column, &got),
			chromedp.Evaluate(`document.querySelector("#glance thead th:nth-child(2)").getAttribute("aria-sort")`, &order))
		if len(got) < 4 || order != map[bool]string{true: "descending", false: "ascending"}[down] {
			t.Fatalf("%v, %s", got, order)
		}
		for i := range got[1:] {
			if got[i] != got[i+1] && got[i] > got[i+1] != down {
				t.Errorf("sorted %s: %v", order, got)
			}
		}
	}
}

func choose(t *testing.T, ctx context.Context, what, value string) {
	t.Helper()
	do(t, ctx, chromedp.Evaluate(`(() => { const s = document.querySelector("[data-switch=`+what+`]"); s.value = "`+value+`"; s.dispatchEvent(new Event("change")); })()`, nil))
}

func switches(t *testing.T, ctx context.Context) {
	if shownOf(t, ctx, "[data-size=qhd]") == 0 || shownOf(t, ctx, "[data-size=uhd]") == 0 {
		t.Fatal("a resolution is not shown")
	}
	choose(t, ctx, "size", "uhd")
	if shownOf(t, ctx, "[data-size=qhd]") != 0 || shownOf(t, ctx, "[data-size=uhd]") == 0 {
		t.Error("uhd was chosen")
	}
	choose(t, ctx, "size", "")
	if shownOf(t, ctx, "[data-metric=hitch_events]") != 0 {
		t.Error("all figures are shown at once")
	}
	choose(t, ctx, "metric", "hitch_events")
	if shownOf(t, ctx, "[data-metric=hitch_events]") == 0 || shownOf(t, ctx, "[data-metric=mean_fps]") != 0 {
		t.Error("hitches were chosen")
	}
	choose(t, ctx, "metric", "mean_fps")
	choose(t, ctx, "low", "tail_mean")
	if shownOf(t, ctx, "th[data-low=tail_mean]") == 0 || shownOf(t, ctx, "td[data-low=quantile]") != 0 {
		t.Error("the mean of the tail was chosen")
	}
}

// fitsAPhone asks that nothing but a table's own box can be pushed sideways, at 400 pixels.
func fitsAPhone(t *testing.T, ctx context.Context) {
	var width, inner int
	do(t, ctx, emulation.SetDeviceMetricsOverride(400, 800, 1, true), chromedp.Evaluate("document.documentElement.scrollWidth", &width),
		chromedp.Evaluate("document.documentElement.clientWidth", &inner))
	if inner > 400 || width > inner {
		t.Errorf("the page is %d wide in %d", width, inner)
	}
	do(t, ctx, emulation.SetDeviceMetricsOverride(1280, 900, 1, false))
}

func withoutScript(t *testing.T, ctx context.Context, file string) {
	var all int
	do(t, ctx, emulation.SetScriptExecutionDisabled(true), chromedp.Navigate(file), chromedp.WaitVisible("#provenance"),
		chromedp.Evaluate(`document.querySelectorAll("table").length`, &all))
	if shown := shownOf(t, ctx, "table"); shown != all || all < 50 {
		t.Errorf("%d of %d tables are seen", shown, all)
	}
	if plots := shownOf(t, ctx, "figure svg:has(.trace)"); plots < 13 {
		t.Errorf("%d plots are seen", plots)
	}
	do(t, ctx, emulation.SetScriptExecutionDisabled(false))
}

// prints asks that on paper no table and no section is missing, whatever the switches hide, and none is wider than the sheet.
func prints(t *testing.T, ctx context.Context, file string) {
	var all, sections int
	var pdf []byte
	do(t, ctx, chromedp.Navigate(file), chromedp.WaitVisible("#switches"), emulation.SetEmulatedMedia().WithMedia("print"),
		emulation.SetDeviceMetricsOverride(703, 1000, 1, false), // 186 mm
		chromedp.Evaluate(`document.querySelectorAll("table").length`, &all), chromedp.Evaluate(`document.querySelectorAll("section").length`, &sections))
	if shown := shownOf(t, ctx, "table"); shown != all || shownOf(t, ctx, "section") != sections || sections < 9 {
		t.Errorf("%d of %d tables and %d sections are printed", shown, all, sections)
	}
	var wide []string
	do(t, ctx, chromedp.Evaluate(`Array.from(document.querySelectorAll("table")).filter((e) => e.scrollWidth > document.documentElement.clientWidth).map((e) => e.id)`, &wide))
	if len(wide) > 0 {
		t.Errorf("wider than the sheet: %v", wide)
	}
	do(t, ctx, emulation.SetEmulatedMedia(), chromedp.ActionFunc(func(ctx context.Context) (err error) {
		pdf, _, err = page.PrintToPDF().WithPaperWidth(8.27).WithPaperHeight(11.69).WithGenerateTaggedPDF(true).WithGenerateDocumentOutline(true).Do(ctx)
		return err
	}))
	// The outline of a PDF names its headings, in plain text (ISO 32000, 12.3.3).
	var heads []string
	do(t, ctx, chromedp.Evaluate(`Array.from(document.querySelectorAll("section > h2")).map((e) => e.textContent)`, &heads))
	for _, head := range heads {
		if !strings.Contains(string(pdf), "/Title ("+head+")") {
			t.Errorf("%s is not in the PDF", head)
		}
	}
	if !strings.HasPrefix(string(pdf), "%PDF-") || len(pdf) < 100_000 || len(heads) != sections {
		t.Errorf("%d bytes of PDF, %d heads", len(pdf), len(heads))
	}
}
