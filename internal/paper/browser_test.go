//go:build browser

package paper

import (
	"bytes"
	"context"
	_ "embed"
	"flag"
	"fmt"
	"image/png"
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
	cdpage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"plumbrule/internal/reporttest"
	"plumbrule/internal/reporttest/depot"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

var rewrite = flag.Bool("rewrite", false, "write the picture of the README anew")

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

// act runs an action in the page.
func act[T any](t *testing.T, ctx context.Context, action chromedp.Action[T]) T {
	t.Helper()
	v, err := chromedp.Run(ctx, action)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// watch collects what a page must not do: speak on the console, throw, ask
// the network for anything but itself.
func watch(t *testing.T, ctx context.Context, self string) func() []string {
	t.Helper()
	var mu sync.Mutex
	var said []string
	err := chromedp.Listen(ctx, func(event any) {
		mu.Lock()
		defer mu.Unlock()
		switch e := event.(type) {
		case *runtime.EventConsoleAPICalled:
			said = append(said, fmt.Sprintf("console %s", e.Type))
		case *runtime.EventExceptionThrown:
			said = append(said, "thrown: "+e.ExceptionDetails.Text)
		case *log.EventEntryAdded:
			said = append(said, fmt.Sprintf("log %s: %s", e.Entry.Level, e.Entry.Text))
		case *network.EventRequestWillBeSent:
			if e.Request.URL != self {
				said = append(said, "request for "+e.Request.URL)
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return func() []string {
		mu.Lock()
		defer mu.Unlock()
		return said
	}
}

// ask evaluates a call of the probe and gives the faults that it found.
func ask(t *testing.T, ctx context.Context, call string) {
	t.Helper()
	for i, f := range act(t, ctx, chromedp.Evaluate[[]string](call, chromedp.EvalAwaitPromise)) {
		if i == 20 {
			t.Errorf("%s: and more", call)
			return
		}
		t.Errorf("%s: %s", call, f)
	}
}

// media shows the page at a width, on a light or dark ground.
func media(t *testing.T, ctx context.Context, width int64, scheme string) {
	t.Helper()
	act(t, ctx, chromedp.EmulateViewport(width, 900))
	features := []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features}); err != nil {
		t.Fatal(err)
	}
}

// load makes a script known to the page.
func load(t *testing.T, ctx context.Context, script string) {
	t.Helper()
	act(t, ctx, chromedp.Evaluate[chromedp.Void](script))
}

func TestBrowser(t *testing.T) {
	axe, err := os.ReadFile(os.Getenv("AXE_CORE"))
	if err != nil {
		t.Fatalf("AXE_CORE must be the path of axe.min.js: %v", err)
	}
	for _, name := range append(reporttest.DemoJobs(), "commercial-faulty") {
		t.Run(name, func(t *testing.T) {
			r := reporttest.Demo(t, name)
			ctx := browser(t)
			file := filepath.Join(t.TempDir(), "page.html")
			if err := os.WriteFile(file, whole(t, r), 0o644); err != nil {
				t.Fatal(err)
			}
			self := (&url.URL{Scheme: "file", Path: file}).String()
			media(t, ctx, 1440, "light")
			said := watch(t, ctx, self)
			act(t, ctx, chromedp.Navigate(self))
			load(t, ctx, probe)

			ask(t, ctx, "probe.folds()")
			ask(t, ctx, fmt.Sprintf("probe.height(%d)", mostHigh))
			if len(r.Comments()) <= onOneScreen {
				ask(t, ctx, "probe.first(900)")
			}
			ask(t, ctx, fmt.Sprintf("probe.links(%d)", len(r.Comments())))
			ask(t, ctx, "probe.filter()")
			for _, width := range []int64{375, 1440} {
				for _, scheme := range []string{"light", "dark"} {
					media(t, ctx, width, scheme)
					ask(t, ctx, "probe.open(false)")
					shoot(t, ctx, fmt.Sprintf("%s-%d-%s-folded", name, width, scheme))
					ask(t, ctx, "probe.layout()")
					ask(t, ctx, "probe.open(true)")
					if scheme == "light" { // the colours change no place
						ask(t, ctx, "probe.layout()")
					}
					shoot(t, ctx, fmt.Sprintf("%s-%d-%s", name, width, scheme))
				}
			}
			for _, s := range said() { // before axe, which is no part of the page
				t.Error(s)
			}
			load(t, ctx, string(axe))
			for _, scheme := range []string{"light", "dark"} {
				media(t, ctx, 1440, scheme)
				ask(t, ctx, "probe.access()")
			}
			ask(t, ctx, "probe.open(false)")
			printed(t, ctx, r)
		})
	}
}

// A page of 1,944 modules is as accessible as a small one, and one of 10,000 opens.
func TestBrowserLarge(t *testing.T) {
	axe, err := os.ReadFile(os.Getenv("AXE_CORE"))
	if err != nil {
		t.Fatalf("AXE_CORE must be the path of axe.min.js: %v", err)
	}
	for _, size := range []struct{ rows, columns int }{{36, 54}, {100, 100}} {
		set := depot.FeetFarApart
		if size.rows == 100 {
			set = depot.WidthUnsure
		}
		r := reporttest.Reviewed(t, depot.Job(t, "commercial-faulty", size.rows, size.columns, set))
		ctx := browser(t)
		file := filepath.Join(t.TempDir(), "page.html")
		if err := os.WriteFile(file, whole(t, r), 0o644); err != nil {
			t.Fatal(err)
		}
		media(t, ctx, 1440, "light")
		start := time.Now()
		act(t, ctx, chromedp.Navigate((&url.URL{Scheme: "file", Path: file}).String()))
		load(t, ctx, probe)
		ask(t, ctx, fmt.Sprintf("probe.height(%d)", 2*mostHigh))
		ask(t, ctx, "probe.open(true)")
		t.Logf("%d modules open in %v", size.rows*size.columns, time.Since(start))
		if size.rows == 36 {
			load(t, ctx, string(axe))
			ask(t, ctx, "probe.access()")
		}
	}
}

// The first screen of the faulty barn, which the README shows, names everything
// to do. Positions are asked of the page; of the picture only that it is one, since
// no two browsers draw text alike.
func TestBrowserFirstScreen(t *testing.T) {
	r := reporttest.Demo(t, "barn-faulty")
	ctx := browser(t)
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, whole(t, r), 0o644); err != nil {
		t.Fatal(err)
	}
	media(t, ctx, 1440, "light")
	act(t, ctx, chromedp.Navigate((&url.URL{Scheme: "file", Path: file}).String()))
	load(t, ctx, probe)
	ask(t, ctx, "probe.first(900)")
	picture := act(t, ctx, chromedp.CaptureScreenshot())
	name := filepath.FromSlash("../../testdata/readme/barn-faulty-page.png")
	if *rewrite {
		if err := os.WriteFile(name, picture, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for what, raw := range map[string][]byte{"the page": picture, "the README's picture of it": kept} {
		c, err := png.DecodeConfig(bytes.NewReader(raw))
		if err != nil || c.Width != 1440 || c.Height != 900 {
			t.Errorf("%s is %d x %d: %v", what, c.Width, c.Height, err)
		}
	}
	if few, many := len(picture)*2/3, len(picture)*3/2; len(kept) < few || len(kept) > many {
		t.Errorf("the README's picture has %d bytes, the page now %d: it shows another page; write it anew with -rewrite", len(kept), len(picture))
	}
}

// The letter by itself is as accessible as the page.
func TestBrowserLetter(t *testing.T) {
	axe, err := os.ReadFile(os.Getenv("AXE_CORE"))
	if err != nil {
		t.Fatalf("AXE_CORE must be the path of axe.min.js: %v", err)
	}
	for _, name := range []string{"house", "barn-faulty"} {
		ctx := browser(t)
		file := filepath.Join(t.TempDir(), "letter.html")
		if err := os.WriteFile(file, written(t, LetterHTML, reporttest.Demo(t, name), trialOptions), 0o644); err != nil {
			t.Fatal(err)
		}
		media(t, ctx, 1440, "light")
		act(t, ctx, chromedp.Navigate((&url.URL{Scheme: "file", Path: file}).String()))
		load(t, ctx, probe)
		load(t, ctx, string(axe))
		ask(t, ctx, "probe.access()")
	}
}

const (
	mostHigh    = 15_000 // px of a page before anything is folded out
	onOneScreen = 22     // comments that have room on a screen of 1440 x 900
)

// shoot keeps pictures of the parts of the page where the flag asks for them.
func shoot(t *testing.T, ctx context.Context, name string) {
	t.Helper()
	if *shots == "" {
		return
	}
	for _, part := range []string{"main", "comment-1", "drawings", "one-line", "governs", "calculations", "checklist"} {
		act(t, ctx, chromedp.Evaluate[chromedp.Void](fmt.Sprintf("location.hash = %q", part)))
		picture := act(t, ctx, chromedp.CaptureScreenshot())
		if err := os.WriteFile(filepath.Join(*shots, name+"-"+part+".png"), picture, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// printed prints the page and looks for every comment, every calculation and the
// cautions on the paper.
func printed(t *testing.T, ctx context.Context, r *review.Review) {
	t.Helper()
	pdf := act(t, ctx, chromedp.PrintToPDF(func(p *cdpage.PrintToPDFParams) {
		own := true
		p.PreferCSSPageSize = &own
	}))
	if *shots != "" {
		if err := os.WriteFile(filepath.Join(*shots, filepath.Base(t.Name())+".pdf"), pdf, 0o644); err != nil {
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
	say := wording.LanguageOf(r)
	for _, c := range r.Comments() {
		for _, want := range append([]string{fmt.Sprint(c.Number), say.Say(wording.Heading(c))}, letterComment(c, "", say).ToPass) {
			if !strings.Contains(paper, bare(want)) {
				t.Errorf("comment %d: %q is not printed", c.Number, want)
			}
		}
	}
	for _, d := range makeCalculations(r).Disciplines {
		for _, s := range d.Checks {
			if !strings.Contains(paper, bare(say.Say(s.Title))) {
				t.Errorf("the calculation of %s is not printed", s.Check)
			}
		}
	}
	for _, want := range append([]string{wording.Notice}, wording.Cautions...) {
		if !strings.Contains(paper, bare(want)) {
			t.Errorf("%q is not printed", want)
		}
	}
}

// bare is a text without spaces, as lines break where they may.
func bare(s string) string { return strings.Join(strings.Fields(s), "") }
