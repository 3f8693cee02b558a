//go:build browser

package report

import (
	"bytes"
	"context"
	_ "embed"
	"flag"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
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

	"plumbrule/internal/review"
)

// These tests open the page in headless Chromium. They need chromium,
// pdftotext and, in AXE_CORE, the path of axe.min.js; .ci/browser installs all
// three and runs them. Nothing is skipped where one is missing.

var shots = flag.String("shots", "", "write screenshots into this folder")

// probe is the script that the tests run inside a page.
//
//go:embed testdata/browser/probe.js
var probe string

// browser starts one headless browser for a test.
func browser(t *testing.T) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatal(err)
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-background-networking", true),
	)
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, stop = chromedp.NewContext(ctx)
	t.Cleanup(stop)
	ctx, stop = context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(stop)
	return ctx
}

func run(t *testing.T, ctx context.Context, actions ...chromedp.Action) {
	t.Helper()
	if err := chromedp.Run(ctx, actions...); err != nil {
		t.Fatal(err)
	}
}

// watch collects what a page must not do: speak on the console, throw, ask
// the network for anything but itself.
func watch(ctx context.Context, self string) func() []string {
	var mu sync.Mutex
	var said []string
	chromedp.ListenTarget(ctx, func(event any) {
		mu.Lock()
		defer mu.Unlock()
		switch e := event.(type) {
		case *runtime.EventConsoleAPICalled:
			said = append(said, fmt.Sprintf("console %s", e.Type))
		case *runtime.EventExceptionThrown:
			said = append(said, "thrown: "+e.ExceptionDetails.Error())
		case *log.EventEntryAdded:
			said = append(said, fmt.Sprintf("log %s: %s", e.Entry.Level, e.Entry.Text))
		case *network.EventRequestWillBeSent:
			if e.Request.URL != self {
				said = append(said, "request for "+e.Request.URL)
			}
		}
	})
	return func() []string {
		mu.Lock()
		defer mu.Unlock()
		return said
	}
}

// ask evaluates a call of the probe and gives the faults that it found.
func ask(t *testing.T, ctx context.Context, call string) {
	t.Helper()
	var faults []string
	await := func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }
	run(t, ctx, chromedp.Evaluate(call, &faults, await))
	for i, f := range faults {
		if i == 20 {
			t.Errorf("%s: and %d more", call, len(faults)-i)
			return
		}
		t.Errorf("%s: %s", call, f)
	}
}

// media shows the page at a width, on a light or dark ground.
func media(width int64, scheme string) chromedp.Action {
	return chromedp.ActionFunc(func(ctx context.Context) error {
		return chromedp.Tasks{
			chromedp.EmulateViewport(width, 900),
			emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}),
		}.Do(ctx)
	})
}

func TestBrowser(t *testing.T) {
	axe, err := os.ReadFile(os.Getenv("AXE_CORE"))
	if err != nil {
		t.Fatalf("AXE_CORE must be the path of axe.min.js: %v", err)
	}
	for _, name := range demoJobs {
		t.Run(name, func(t *testing.T) {
			r := demo(t, name)
			ctx := browser(t)
			file := filepath.Join(t.TempDir(), "page.html")
			if err := os.WriteFile(file, whole(t, r), 0o644); err != nil {
				t.Fatal(err)
			}
			self := (&url.URL{Scheme: "file", Path: file}).String()
			said := watch(ctx, self)
			run(t, ctx, network.Enable(), log.Enable(), runtime.Enable(), media(1440, "light"), chromedp.Navigate(self),
				chromedp.Evaluate(probe+";true", nil))

			ask(t, ctx, fmt.Sprintf("probe.links(%d)", len(r.Worst())))
			ask(t, ctx, "probe.filter()")
			for _, width := range []int64{375, 1440} {
				for _, scheme := range []string{"light", "dark"} {
					run(t, ctx, media(width, scheme))
					ask(t, ctx, "probe.layout()")
					shoot(t, ctx, fmt.Sprintf("%s-%d-%s.png", name, width, scheme))
				}
			}
			for _, s := range said() { // before axe, which is no part of the page
				t.Error(s)
			}
			run(t, ctx, chromedp.Evaluate(string(axe)+";true", nil))
			for _, scheme := range []string{"light", "dark"} {
				run(t, ctx, media(1440, scheme))
				ask(t, ctx, "probe.access()")
			}
			printed(t, ctx, r)
		})
	}
}

// shoot keeps a picture of the page where the flag asks for it.
func shoot(t *testing.T, ctx context.Context, name string) {
	t.Helper()
	if *shots == "" {
		return
	}
	var picture []byte
	run(t, ctx, chromedp.CaptureScreenshot(&picture))
	if err := os.WriteFile(filepath.Join(*shots, name), picture, 0o644); err != nil {
		t.Fatal(err)
	}
}

// printed prints the page and looks for every comment, every subject and the
// cautions on the paper.
func printed(t *testing.T, ctx context.Context, r *review.Review) {
	t.Helper()
	var pdf []byte
	run(t, ctx, chromedp.ActionFunc(func(ctx context.Context) (err error) {
		pdf, _, err = page.PrintToPDF().WithPreferCSSPageSize(true).Do(ctx)
		return err
	}))
	if *shots != "" {
		if err := os.WriteFile(filepath.Join(*shots, "print.pdf"), pdf, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	read := exec.Command("pdftotext", "-raw", "-enc", "UTF-8", "-", "-")
	read.Stdin = bytes.NewReader(pdf)
	out, err := read.Output()
	if err != nil {
		t.Fatalf("pdftotext: %v", err)
	}
	paper := bare(string(out))
	number := FindingNumber(r)
	for _, o := range r.Worst() {
		for _, want := range []string{o.Check.Title, fmt.Sprint(number(o)), o.Subject} {
			if !strings.Contains(paper, bare(want)) {
				t.Errorf("%s for %s: %q is not printed", o.Check.ID, o.Subject, want)
			}
		}
	}
	for _, want := range append([]string{Notice}, Cautions...) {
		if !strings.Contains(paper, bare(want)) {
			t.Errorf("%q is not printed", want)
		}
	}
}

// bare is a text without spaces, as lines break where they may.
func bare(s string) string { return strings.Join(strings.Fields(s), "") }
