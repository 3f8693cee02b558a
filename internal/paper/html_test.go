package paper

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"strings"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

var trialOptions = Options{
	Version: "1.2.3", Date: "2024-07-01",
	Scope: []codebook.ScopeRow{
		{ID: "T-01", Discipline: "layout", Field: "Every foot sealed before its row is covered."},
		{ID: "T-02", Discipline: "layout"},
	},
}

// papers are the writers of this file's neighbours by the names of their
// golden files.
var papers = map[string]func(io.Writer, *review.Review, Options) error{
	"letter-%s.md":    LetterMarkdown,
	"letter-%s.html":  LetterHTML,
	"checklist-%s.md": ChecklistMarkdown,
	"html-%s.html":    HTML,
}

func written(t testing.TB, write func(io.Writer, *review.Review, Options) error, r *review.Review, o Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b, r, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// whole is the page that holds every paper.
func whole(t testing.TB, r *review.Review) []byte { return written(t, HTML, r, trialOptions) }

// undrawn takes style, script and drawings out of a page: they have tests and
// files of their own.
func undrawn(page []byte) []byte {
	page = regexp.MustCompile(`(?s)<style>.*?</style>`).ReplaceAll(page, []byte("<style></style>"))
	page = regexp.MustCompile(`(?s)<script>.*?</script>`).ReplaceAll(page, []byte("<script></script>"))
	page = regexp.MustCompile(`sha256-[A-Za-z0-9+/&#;=]+`).ReplaceAll(page, []byte("sha256-"))
	return regexp.MustCompile(`(?s)(<div class="sheet"[^>]*>)<svg.*?</svg>(</div>)`).ReplaceAll(page, []byte("$1$2"))
}

func TestPapers(t *testing.T) {
	states := map[string]*review.Review{
		"faults": reporttest.Roof(t, job.Edits{}),
		"none": reporttest.Roof(t, job.Edits{
			Set:   map[string]any{"string.S1.modules": 10, "array.south.attachments.spacing": "32 in", "array.south.columns": 7, "array.south.lug.1.column": 7},
			Unset: []string{"array.later", "deviation"},
		}),
		"undetermined": reporttest.Roof(t, job.Edits{Unset: []string{"array.south.attachments.spacing", "adoption", "string.S1.modules"}}),
	}
	if n := states["none"].Totals; n.NotMet+n.Undetermined > 0 {
		t.Fatalf("the state without findings has %+v", n)
	}
	if n := states["undetermined"].Totals; n.NotMet > 0 || n.Undetermined < 4 {
		t.Fatalf("the undetermined state has %+v", n)
	}
	for state, r := range states {
		for pattern, write := range papers {
			t.Run(fmt.Sprintf(pattern, state), func(t *testing.T) {
				reporttest.Golden(t, fmt.Sprintf(pattern, state), undrawn(written(t, write, r, trialOptions)))
			})
		}
	}
}

// Every paper of every demo job is written the same twice, carries the notice
// and the cautions, and asks nothing of the network.
func TestPapersOfDemoJobs(t *testing.T) {
	address := regexp.MustCompile(`(?i)(src|href|action|data)\s*=\s*"[^#"][^"]*"|url\([^#]|@import`)
	for _, name := range reporttest.DemoJobs {
		r, again := reporttest.Demo(t, name), reporttest.Demo(t, name)
		for pattern, write := range papers {
			got := written(t, write, r, Options{})
			if !bytes.Equal(got, written(t, write, again, Options{})) {
				t.Errorf("%s: %s differs from run to run", name, pattern)
			}
			text := strings.NewReplacer("&#39;", "'").Replace(string(got))
			for _, want := range append([]string{wording.Notice}, wording.Cautions...) {
				if !strings.Contains(text, want) {
					t.Errorf("%s: %s lacks %q", name, pattern, want)
				}
			}
			if strings.HasSuffix(pattern, ".html") {
				if found := address.Find(got); found != nil {
					t.Errorf("%s: %s asks for %s", name, pattern, found)
				}
			}
		}
	}
}

// The page has one entry for each finding, and the marks are the drawings'.
func TestEveryFindingHasAnEntryAndAMark(t *testing.T) {
	for _, name := range []string{"house-faulty", "barn-faulty"} {
		r := reporttest.Demo(t, name)
		page := string(whole(t, r))
		for n := 1; n <= len(r.Worst()); n++ {
			for _, want := range []string{fmt.Sprintf(`id="finding-%d"`, n), fmt.Sprintf(`id="mark-%d"`, n), fmt.Sprintf(`href="#mark-%d"`, n)} {
				if strings.Count(page, want) != 1 {
					t.Errorf("%s: %s stands %d times", name, want, strings.Count(page, want))
				}
			}
		}
	}
}

func TestHTMLEscapesHostileNames(t *testing.T) {
	r := reporttest.HostileRoof(t)
	for pattern, write := range papers {
		if !strings.HasSuffix(pattern, ".html") {
			continue
		}
		page := string(written(t, write, r, trialOptions))
		if !strings.Contains(page, "Trial roof&lt;script&gt;alert(1)&lt;/script&gt;") {
			t.Errorf("%s: the name of the job is not shown as it is written", pattern)
		}
		for _, bad := range []string{"<script>alert", "<img", "<b>|", "\u202e"} {
			if strings.Contains(page, bad) {
				t.Errorf("%s: %q reaches the page", pattern, bad)
			}
		}
		// Attributes cannot be left: what is in quotes has none of its own.
		if regexp.MustCompile(`<[a-z][^>"]*("[^"]*"[^>"]*)*\sonerror=`).MatchString(page) {
			t.Errorf("%s: an attribute of the job's reaches the page", pattern)
		}
	}
}

// Every sign of a hostile text is escaped, and the text keeps to its line: the
// paper has the same lines and the same cells as that of the plain job.
func TestMarkdownEscapesHostileNames(t *testing.T) {
	free := regexp.MustCompile("(^|[^\\\\])[`<>*|\\[\\]&~]")
	for pattern, write := range papers {
		if !strings.HasSuffix(pattern, ".md") {
			continue
		}
		got := strings.Split(string(written(t, write, reporttest.HostileRoof(t), trialOptions)), "\n")
		want := strings.Split(string(written(t, write, reporttest.Roof(t, job.Edits{}), trialOptions)), "\n")
		if len(got) != len(want) {
			t.Errorf("%s: %d lines with hostile names, %d without", pattern, len(got), len(want))
			continue
		}
		for i := range got {
			if strings.ContainsRune(got[i], '\u202e') || strings.Contains(got[i], "https://") {
				t.Errorf("%s line %d: %q", pattern, i+1, got[i])
			}
			if a, b := len(free.FindAllString(got[i], -1)), len(free.FindAllString(want[i], -1)); a != b {
				t.Errorf("%s line %d has %d signs of its own, the plain one %d:\n%s\n%s", pattern, i+1, a, b, got[i], want[i])
			}
		}
	}
}

func TestEscapeMarkdown(t *testing.T) {
	for in, want := range map[string]string{
		"11.74 in":          "11.74 in",
		"1. first":          `1\. first`,
		"2) second":         `2\) second`,
		"- item":            `\- item`,
		"a - b":             "a - b",
		"x|y":               `x\|y`,
		"site.record_low":   `site.record\_low`,
		"<b>&amp;":          `\<b\>\&amp;`,
		"two\n# lines\tone": `two \# lines one`,
		"http://x www.y":    `http\://x www\.y`,
		"\u202eabc":         "?abc",
		"":                  "",
	} {
		if got := wording.Markdown(in); got != want {
			t.Errorf("%q gives %q, expected %q", in, got, want)
		}
	}
}
