package adoption

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/proof"
	"plumbrule/internal/review"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

const (
	jobs  = "../../testdata/jobs"
	packs = "../../testdata/packs/"
)

var own = sync.OnceValue(func() *codebook.Codebook {
	b, err := codebook.LoadProven(rules.FS)
	if err != nil {
		panic(err)
	}
	return b
})

var tables = sync.OnceValue(func() *table.Set {
	t, err := table.LoadProven(rules.FS, "tables")
	if err != nil {
		panic(err)
	}
	return t
})

// inForce puts a pack into force, or gives what is said against it.
func inForce(t *testing.T, pack string, o Options) (*Force, string) {
	t.Helper()
	s, err := Load(pack, rules.FS)
	if err == nil {
		var f *Force
		if f, err = s.In(own(), o); err == nil {
			return f, ""
		}
	}
	return nil, err.Error()
}

// forced is a pack in force that nothing is said against.
func forced(t *testing.T, pack string, o Options) *Force {
	t.Helper()
	f, said := inForce(t, pack, o)
	if f == nil {
		t.Fatal(said)
	}
	return f
}

// written makes a folder of packs and gives the path of the one called city.
func written(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return filepath.Join(dir, "city.toml")
}

// Every pack that comes with the program, and those of our own invention, prove what
// they amend and add.
func TestPacksProveThemselves(t *testing.T) {
	names := Names(rules.FS)
	if len(names) < 3 {
		t.Fatalf("the program comes with %v", names)
	}
	for _, name := range append(names, packs+"marrowmere.toml", packs+"brackwater.toml", packs+"saltmere.toml") {
		f := forced(t, name, Options{Newest: true})
		var checks []*codebook.Check
		for _, c := range f.Book.Checks {
			if len(c.Amended) > 0 || c.Since == 0 && len(c.Examples) > 0 {
				checks = append(checks, c)
			}
		}
		if len(checks) == 0 && len(f.rulings) == 0 {
			t.Errorf("%s changes nothing", name)
		}
		for _, fault := range proof.New(jobs, f.Book, tables()).Under(f.Job).Faults(checks) {
			t.Errorf("%s: %s", name, fault)
		}
	}
}

// The edition in force is the one of the date of application, by the narrowest layer
// that speaks of the code; without a date what is dated is refused.
func TestEditionsByDate(t *testing.T) {
	for _, c := range []struct{ pack, applied, code, want string }{
		{"california", "2025-12-31", "NEC", "2020"},
		{"california", "2026-01-01", "NEC", "2023"},
		{packs + "saltmere.toml", "2025-12-31", "NEC", "2020"},
		{packs + "saltmere.toml", "2026-01-01", "NEC", "2023"},
		{packs + "saltmere.toml", "2026-01-01", "NFPA 1", ""},
	} {
		f := forced(t, c.pack, Options{Applied: c.applied})
		if got, ok := f.rulings[c.code]; !ok || got.Edition != c.want {
			t.Errorf("%s on %s: %s %q, expected %q", c.pack, c.applied, c.code, got.Edition, c.want)
		}
	}
	if f := forced(t, "california", Options{Applied: "2022-12-31"}); len(f.rulings) > 0 {
		t.Errorf("before any edition is in force: %v", f.rulings)
	}
	if _, said := inForce(t, "california", Options{}); !strings.Contains(said, "packs/california.toml:12:11: this holds from a date on") {
		t.Errorf("without a date: %s", said)
	}
	over := written(t, map[string]string{"city.toml": "name = \"C\"\nlevel = \"city\"\nwithin = \"california\"\nordinance = \"o\"\n[[adopts]]\ncode = \"NEC\"\nedition = \"2017\"\n"})
	if got := forced(t, over, Options{Applied: "2026-02-01"}).rulings["NEC"].Edition; got != "2017" {
		t.Errorf("the city has %q in force, expected its own 2017", got)
	}
}

// outcomes reviews a demo job, changed, under a pack.
func outcomes(t *testing.T, f *Force, name string, set map[string]any, only ...string) map[string]*review.Outcome {
	t.Helper()
	tree, err := job.LoadTree(filepath.Join(jobs, name+".toml"))
	if err == nil {
		tree, err = tree.With(job.Edits{Set: set})
	}
	if err != nil {
		t.Fatal(err)
	}
	j, err := tree.Job()
	if err != nil {
		t.Fatal(err)
	}
	r, err := review.Run(f.Job(j), f.Book, tables(), review.Options{Only: only})
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]*review.Outcome{}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		out[o.Check.ID+" "+o.Subject.Name] = o
	}
	return out
}

// What a job states of editions is only compared: what is in force is the
// authority's, and a difference is a finding at the job's own line.
func TestTheJobIsOnlyCompared(t *testing.T) {
	f := forced(t, packs+"saltmere.toml", Options{Applied: "2025-06-01"})
	got := outcomes(t, f, "house", map[string]any{"adoption.nfpa1": "2021"}, "documents/edition-in-force", "documents/edition-undecided", "documents/edition-nec", "electrical/outdoor-service-disconnect")
	for name, want := range map[string]review.Result{
		"documents/edition-in-force NEC": review.NotMet, "documents/edition-in-force IFC": review.Met, "documents/edition-in-force NFPA 1": review.NotMet,
		"documents/edition-undecided NEC": review.NotApplicable, "documents/edition-nec ": review.Met,
	} {
		if o := got[name]; o == nil {
			t.Errorf("no outcome %s among %d", name, len(got))
		} else if o.Result != want {
			t.Errorf("%s is %s, expected %s: %s%s", name, o.Result, want, o.Finding, o.Why())
		}
	}
	if o := got["documents/edition-in-force NEC"]; o != nil && (!strings.Contains(o.Finding, "2023") || !strings.Contains(o.Finding, "2020") || !strings.HasSuffix(o.At.Position().File, "house.toml")) {
		t.Errorf("the difference is told at %s as %q", o.At.Position(), o.Finding)
	}
	for _, o := range got {
		for _, cite := range o.Cites {
			if cite.Code == "NEC" && cite.Edition != "2020" {
				t.Errorf("%s cites NEC %s, and 2020 is in force", o.Check.ID, cite.Edition)
			}
		}
	}
	oregon := outcomes(t, forced(t, "oregon", Options{}), "house", nil, "documents/edition-in-force", "documents/edition-undecided")
	if o := oregon["documents/edition-undecided NEC"]; o == nil || o.Result != review.NotMet {
		t.Errorf("an edition that no layer speaks of passes: %+v", o)
	}
}

// An amendment is cited in every outcome that it touches, each layer with its law;
// what is withdrawn or left out does not apply and says by whom.
func TestAmendmentsAreCited(t *testing.T) {
	f := forced(t, packs+"saltmere.toml", Options{Applied: "2026-07-01"})
	for name, o := range outcomes(t, f, "house", map[string]any{"project.simple_route": true}, "layout/stand-off", "fire/ridge-strip", "documents/simple-route-size") {
		var said []string
		for _, cite := range o.Cites {
			if layer, says, found := strings.Cut(cite.Note, " amends this check: "); found && says != "" {
				said = append(said, layer+", "+cite.Code)
			}
		}
		want := map[string]string{
			"layout/stand-off":            "State of Marrowmere, Marrowmere Building Act, title 9; City of Saltmere, Saltmere Municipal Code 15.04",
			"fire/ridge-strip":            "City of Saltmere, Ordinance 2026-03",
			"documents/simple-route-size": "Brackwater County, Ordinance 2024-11",
		}[o.Check.ID]
		if got := strings.Join(said, "; "); got != want {
			t.Errorf("%s cites the amendments %q, expected %q", name, got, want)
		}
		if o.Check.ID == "documents/simple-route-size" && (o.Result != review.NotApplicable || o.Why() != "withdrawn by Brackwater County, Ordinance 2024-11") {
			t.Errorf("%s is %s: %s", name, o.Result, o.Why())
		}
	}
	later := forced(t, packs+"saltmere.toml", Options{Applied: "2026-05-31"}).Book
	if n := len(later.Check("fire/ridge-strip").Amended); n != 0 || len(later.Authority.Later) != 1 {
		t.Errorf("before its day the ridge is amended %d times, and %v is said to come", n, later.Authority.Later)
	}
	if again := forced(t, "../adoption/../../testdata/packs/saltmere.toml", Options{Applied: "2026-05-31"}).Book; again.Hash != later.Hash || again.Hash == own().Hash {
		t.Error("the hash is not that of the texts alone")
	}
	if own().Check("layout/stand-off").Amended != nil || own().Authority != nil {
		t.Error("the project's own checks were changed")
	}
}

// Limits for some editions leave those of others; editions that a check is taken from
// have no such rule, and one that it is given to is cited by the law that says so.
func TestAmendedEditions(t *testing.T) {
	city := written(t, map[string]string{"city.toml": `name = "C"
level = "city"
ordinance = "Ord. 1"
[[amends]]
check = "interconnection/single-circuit"
editions = { NEC = ["2020", "2023", "2026"] }
[[amends]]
check = "fire/ridge-strip"
limit = [{ code = "IRC", editions = ["2021"], at_least = 'q("40 in")' }]
`})
	book := forced(t, city, Options{}).Book
	c := book.Check("fire/ridge-strip")
	if got := c.LimitFor(map[string]string{"IRC": "2021"}).String(); got != "at least 40 in under IRC 2021" {
		t.Errorf("under IRC 2021 the limit is %s", got)
	}
	if got, want := c.LimitFor(map[string]string{"IRC": "2018"}).Text, own().Check("fire/ridge-strip").Limits[0].Text; got != want {
		t.Errorf("under IRC 2018 the limit is %s, expected %s", got, want)
	}
	var holds []string
	for _, cite := range book.Check("interconnection/single-circuit").Cites {
		if cite.Code == "NEC" {
			holds = append(holds, cite.Editions...)
		}
	}
	if slices.Sort(holds); strings.Join(holds, " ") != "2020 2023 2026" {
		t.Errorf("it holds for NEC %v", holds)
	}
}

// Checks that came later than the version held to are left out, by name.
func TestRuleSetIsPinned(t *testing.T) {
	newer := *own()
	newer.Checks = slices.Clone(own().Checks)
	late := *newer.Check("layout/stand-off")
	late.Since = 2
	newer.Checks[slices.Index(newer.IDs(), late.ID)] = &late
	city := written(t, map[string]string{"city.toml": "name = \"C\"\nlevel = \"city\"\nrule_set = 1\n"})
	s, err := Load(city, rules.FS)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		o   Options
		off string
	}{{Options{}, "came with rule set 2, and C holds to rule set 1"}, {Options{RuleSet: 2}, ""}} {
		f, err := s.In(&newer, c.o)
		if err != nil {
			t.Fatal(err)
		}
		if got := f.Book.Check(late.ID).Off; got != c.off {
			t.Errorf("%+v: %q, expected %q", c.o, got, c.off)
		}
	}
	if _, err := s.In(&newer, Options{RuleSet: 3}); err == nil || !strings.Contains(err.Error(), "the newest is 2") {
		t.Errorf("rule set 3 of 2: %v", err)
	}
}

// Every check of the project says with which version it came.
func TestEveryCheckSaysSince(t *testing.T) {
	for _, c := range own().Checks {
		if c.Since < 1 {
			t.Errorf("%s does not say since which version of the rule set it is there: since = %d", c.ID, own().Newest())
		}
	}
}

// What is wrong in a pack is told at its place with the nearest word; it never
// disarms a check.
func TestFaults(t *testing.T) {
	const head = "name = \"City of Typo\"\nlevel = \"city\"\nordinance = \"Ord. 1\"\n"
	amends := func(lines string) string { return head + "[[amends]]\n" + lines }
	for _, c := range []struct{ text, want string }{
		{head + "wthin = \"x\"", `city.toml:4:9: unknown key "wthin"; did you mean "within"?`},
		{head + "within = \"oregno\"", `city.toml:4:10: there is no pack "oregno"`},
		{head + "within = \"../x\"", `no name of a pack`},
		{"name = \"C\"\nlevel = \"state\"\nwithin = \"oregon\"", `a state is laid over something wider, and State of Oregon is a state`},
		{"name = \"C\"\nlevel = \"city\"\nwithin = \"city\"", `a city is laid over something wider, and C is a city`},
		{head + "[[adopts]]\ncode = \"NCE\"\nedition = \"2023\"", `city.toml:5:8: "NCE" is not a code that a job adopts; one of NEC, IFC, NFPA 1, IRC, IBC, ASCE 7, NDS, AISI S100; did you mean "NEC"?`},
		{head + "[[adopts]]\ncode = \"NEC\"\nedition = \"2032\"", `the NEC has no edition "2032" here; one of 2014, 2017, 2020, 2023, 2026, none; did you mean "2023"?`},
		{head + "[[adopts]]\ncode = \"NEC\"\nedition = \"2020\"\n[[adopts]]\ncode = \"NEC\"\nedition = \"2023\"", "two editions of the NEC from the same day"},
		{head + "[[adopts]]\ncode = \"NEC\"\nedition = \"2020\"\nfrom = \"2026-02-30\"", `"2026-02-30" is no date`},
		{"name = \"C\"\nlevel = \"city\"\n[[adopts]]\ncode = \"NEC\"\nedition = \"2020\"", "nothing says by which law this holds"},
		{amends("check = \"fire/rige-strip\"\nwithdrawn = true"), `city.toml:5:9: there is no check "fire/rige-strip"; ` + "`plumbrule rules`" + ` lists them; did you mean "fire/ridge-strip"?`},
		{amends("check = \"layout/point-load\""), "changes nothing"},
		{amends("check = \"layout/point-load\"\nseverty = \"verify\""), `unknown key "severty"; did you mean "severity"?`},
		{amends("check = \"layout/point-load\"\nseverity = \"grave\""), "severity"},
		{amends("check = \"layout/point-load\"\nwithdrawn = false"), "withdrawn"},
		{amends("check = \"documents/edition-not-covered\"\nwithdrawn = true"), "which no authority can change"},
		{amends("check = \"layout/point-load\"\ntitle = \"t\"\nat_least = 'q(\"1 lb\")'"), "would turn the check round"},
		{amends("check = \"layout/point-load\"\ntitle = \"t\"\nat_most = 'q(\"1 ft\")'"), "the limit is a length but the measure is a force"},
		{amends("check = \"layout/point-load\"\nat_most = 'q(\"50 lb\")'"), `the title of layout/point-load speaks of a number`},
		{amends("check = \"layout/point-load\"\nwhen = 'attachement.array.on_roof'"), `city.toml:6:9: there is nothing called "attachement"; did you mean "attachment"?`},
		{amends("check = \"layout/point-load\"\nalso_when = 'attachment.array.on_rof'"), `city.toml:6:30: there is no term "on_rof"`},
		{amends("check = \"fire/ridge-strip\"\neditions = { IFC = [\"2022\"] }"), `the IFC has no edition "2022" here`},
		{amends("check = \"fire/ridge-strip\"\neditions = { NEC = [\"2023\"] }"), "does not stand under the NEC"},
		{amends("check = \"fire/ridge-strip\"\nlimit = [{ code = \"ICF\", editions = [\"2021\"], at_least = 'q(\"1 ft\")' }]"), `did you mean "IFC"?`},
		{head + "[[asks]]\ntitle = \"a\"\npaper = \"structural-leter\"", `did you mean "structural-letter"?`},
		{head + "[[asks]]\ntitle = \"a\"", "one of paper and require"},
		{head + "[[asks]]\ntitle = \"a\"\nname = \"x\"\nrequire = 'submittal.ac_pwer > q(\"1 W\")'", `there is no term "ac_pwer"`},
		{head + "[[asks]]\ntitle = \"a\"\npaper = \"photos\"\n[[asks]]\ntitle = \"b\"\npaper = \"photos\"", `are called "photos"`},
		{head + "[place]\nwind_speed = \"115 psf\"", `city.toml:5:14: place.wind_speed: "115 psf": psf is a pressure; a speed is expected`},
		{head + "rule_set = 9", "city.toml:4:12: there is no rule set 9; the newest is 1"},
	} {
		if f, said := inForce(t, written(t, map[string]string{"city.toml": c.text + "\n"}), Options{Applied: "2026-02-01"}); f != nil || !strings.Contains(said, c.want) {
			t.Errorf("%s\nsays %q, expected %q", c.text, said, c.want)
		}
	}
	const check = "title = \"t\"\nseverity = \"verify\"\neach = \"site\"\nrequire = \"site.sds > 0.0\"\nbecause = \"b\"\n[[cite]]\ncode = \"c\"\nsection = \"s\"\n" +
		"[[example]]\njob = \"house\"\nexpect = \"met\"\n[[example]]\njob = \"house\"\nexpect = \"met\"\n"
	for name, want := range map[string]string{
		"city/stray.toml": "no rule is read from here", "city/fire/deep/x.toml": "no rule is read from here",
		"city/fire/ridge-strip.toml": "there is already a check fire/ridge-strip", "city/fire/quake.toml": "",
	} {
		if _, said := inForce(t, written(t, map[string]string{"city.toml": head, name: check}), Options{}); want == "" && said != "" || !strings.Contains(said, want) {
			t.Errorf("%s: %q, expected %q", name, said, want)
		}
	}
	if _, err := Load("nowhere.toml", fstest.MapFS{"packs/oregon.toml": {Data: []byte("x")}}); err == nil || !strings.Contains(err.Error(), `there is no pack "nowhere.toml"`) {
		t.Errorf("a file that is not there: %v", err)
	}
}
