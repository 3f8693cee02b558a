package paper

import (
	"bytes"
	"cmp"
	"fmt"
	"html/template"
	"io"
	"regexp"
	"strconv"
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
	"facts-%s.md":     FactsMarkdown,
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
	return regexp.MustCompile(`(?s)(<div class="sheet"[^>]*>)<svg.*?</svg>\s*(</div>)`).ReplaceAll(page, []byte("$1$2"))
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
	for _, name := range reporttest.DemoJobs() {
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

// The page has one entry for each comment, with its mark on one drawing, and
// every link of the page leads to something.
func TestEveryCommentHasAnEntryAndAMark(t *testing.T) {
	link, id := regexp.MustCompile(`href="#([^"]*)"`), regexp.MustCompile(`\sid="([^"]*)"`)
	for _, name := range reporttest.DemoJobs() {
		r := reporttest.Demo(t, name)
		page := string(whole(t, r))
		for _, c := range r.Comments() {
			n := strconv.Itoa(c.Number)
			for want, times := range map[string]int{`id="comment-` + n + `"`: 1, `id="mark-` + n + `"`: 1} {
				if strings.Count(page, want) != times {
					t.Errorf("%s: %s stands %d times", name, want, strings.Count(page, want))
				}
			}
			for _, want := range []string{`href="#mark-` + n + `"`, `href="#comment-` + n + `"`} {
				if !strings.Contains(page, want) {
					t.Errorf("%s: nothing leads to %s", name, want)
				}
			}
			if !strings.Contains(page, `<span class="title">`+template.HTMLEscapeString(wording.LanguageOf(r).Say(wording.Heading(c)))) {
				t.Errorf("%s: comment %s has no line", name, n)
			}
		}
		ids := map[string]bool{}
		for _, m := range id.FindAllStringSubmatch(page, -1) {
			if ids[m[1]] {
				t.Errorf("%s: two elements are called %s", name, m[1])
			}
			ids[m[1]] = true
		}
		for _, m := range link.FindAllStringSubmatch(page, -1) {
			if !ids[m[1]] {
				t.Errorf("%s: a link leads to %s, which is nowhere", name, m[1])
			}
		}
	}
}

// The first thing of a page is how the review came out, with what is needed to
// know the job again, and totals agree with those of the review.
func TestPageBeginsWithTheVerdict(t *testing.T) {
	r := reporttest.Demo(t, "barn-faulty")
	page := string(whole(t, r))
	top, _, _ := strings.Cut(page, `<span class="chip">`)
	for _, want := range []string{
		wording.Capital(wording.Verdict(r)), wording.BySeverity(wording.CommentsBySeverity(r)), r.Job.Project.Name.Value, r.Job.Project.Address.Value,
		r.Job.Project.Permit.Value, r.Job.Project.Authority.Value, strings.Join(wording.EditionNames(r), ", "),
	} {
		if want == "" || !strings.Contains(top, want) {
			t.Errorf("%q does not stand before the comments", want)
		}
	}
	for _, want := range []string{fmt.Sprintf("%d met, %d not met, %d undetermined", r.Totals.Met, r.Totals.NotMet, r.Totals.Undetermined), "plumbrule check JOB --all --write review.json"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if a, b := strings.Index(page, `id="drawings"`), strings.Index(page, `id="filter"`); a < 0 || b < a {
		t.Error("the search stands before the drawings")
	}
}

// What governs has each check once: what is not met, then the nearest to its
// limit of what is met, and nothing that uses less than half.
func TestWhatGovernsLeavesTrivialChecksOut(t *testing.T) {
	all := makeCalculations(reporttest.Demo(t, "barn-faulty")).Governs
	list, lesser := nearest(all)
	if len(list)+lesser != len(all) || lesser == 0 {
		t.Errorf("%d and %d of %d", len(list), lesser, len(all))
	}
	seen, met := map[string]bool{}, 0
	for _, g := range list {
		if seen[g.Check] {
			t.Errorf("%s stands twice", g.Check)
		}
		seen[g.Check] = true
		if g.Result == string(review.Met) {
			if met++; !g.governs {
				t.Errorf("%s uses %s", g.Check, g.Utilisation)
			}
		}
	}
	if met == 0 || met > mostGoverning {
		t.Errorf("%d that are met", met)
	}
	for _, g := range all {
		if g.Result != string(review.Met) && !seen[g.Check] {
			t.Errorf("%s is %s and left out", g.Check, g.Result)
		}
	}
}

// Subjects are told in runs, each with its numbers, and none is lost.
func TestSubjectsOfACommentInRuns(t *testing.T) {
	ends := regexp.MustCompile(`^(\d+)(?:\.(\d+)(?: to \d+\.(\d+))?)?$`)
	for _, name := range []string{"barn-faulty", "house-faulty"} {
		for _, c := range reporttest.Demo(t, name).Comments() {
			list, more := runs(c, map[string]bool{})
			next := 1
			for _, run := range list {
				m := ends.FindStringSubmatch(run.Numbers)
				if m == nil || m[1] != strconv.Itoa(c.Number) {
					t.Fatalf("%s: comment %d has the numbers %q", name, c.Number, run.Numbers)
				}
				if m[2] == "" {
					next++
					continue
				}
				if m[2] != strconv.Itoa(next) {
					t.Errorf("%s: %s follows %d.%d", name, run.Numbers, c.Number, next-1)
				}
				next, _ = strconv.Atoi(cmp.Or(m[3], m[2]))
				next++
			}
			if more == "" && next != len(c.Subjects)+1 {
				t.Errorf("%s: comment %d tells %d subjects of %d", name, c.Number, next-1, len(c.Subjects))
			}
			if more != "" && !strings.Contains(more, strconv.Itoa(len(c.Subjects)-next+1)+" subject") {
				t.Errorf("%s: comment %d tells %d of %d, and %q", name, c.Number, next-1, len(c.Subjects), more)
			}
		}
	}
}

// The chain behind a comment is short, and says so where it is not whole.
func TestChainsOfCommentsAreShort(t *testing.T) {
	r := reporttest.Demo(t, "barn-faulty")
	chains := 0
	for _, c := range r.Comments() {
		if c.Check == nil {
			continue
		}
		list, more := wording.ChainOf(r, c.Worst(), chainDepth, mostChain, wording.LanguageOf(r))
		lines, deep := 0, false
		for _, l := range list {
			lines += 1 + len(l.Notes)
			deep = deep || l.Level >= chainDepth
		}
		if lines > mostChain || deep {
			t.Errorf("comment %d has %d lines, deep %v", c.Number, lines, deep)
		}
		if len(list) > 0 {
			chains++
		} else if !more {
			t.Errorf("comment %d has no chain", c.Number)
		}
	}
	if chains == 0 {
		t.Error("no chain is shown")
	}
}

// A page of a US job has US spelling and signs, one in SI units has not.
func TestPageSpeaksTheLanguageOfItsJob(t *testing.T) {
	written := regexp.MustCompile(`<code>.*?</code>|<li class="level-.*?</li>`) // formulas, and values as the job writes them
	us := written.ReplaceAllString(string(undrawn(whole(t, reporttest.Demo(t, "barn-faulty")))), "")
	if m := regexp.MustCompile(`\butilisation\b|\d deg[FC]\b`).FindString(us); m != "" || !strings.Contains(us, "utilization") {
		t.Errorf("a US job says %q", m)
	}
	si := string(undrawn(whole(t, reporttest.Roof(t, job.Edits{Set: map[string]any{"project.units": "SI"}}))))
	if !strings.Contains(si, "utilisation") || strings.Contains(si, "utilization") {
		t.Error("an SI job has US spelling")
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
