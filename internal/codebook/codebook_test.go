package codebook

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/source"
	"plumbrule/rules"
)

// The project's own rules load with every expression compiled and every file
// held against the schema. LoadProven rests on this.
func TestOwnRulesLoad(t *testing.T) {
	b, err := Load(rules.FS)
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Checks) == 0 {
		t.Fatal("no checks")
	}
	proven, err := LoadProven(rules.FS)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Join(proven.IDs(), " ") != strings.Join(b.IDs(), " ") || proven.Hash != b.Hash {
		t.Fatal("the two ways of loading give different codebooks")
	}
	for i, c := range b.Checks {
		if got, want := written(proven.Checks[i]), written(c); !reflect.DeepEqual(got, want) {
			t.Errorf("%s is read as\n%+v\nwithout proof, and as\n%+v\nwith it", c.ID, want, got)
		}
	}
}

// written is a check without its examples, its place and what is compiled.
func written(c *Check) Check {
	out := *c
	out.Examples, out.At, out.words, out.when, out.measure, out.within, out.governs, out.mends, out.finding, out.remedy, out.later = nil, source.Span{}, nil, nil, nil, nil, nil, nil, nil, nil, nil
	out.Varies = nil
	for _, v := range c.Varies {
		plain := *v
		plain.key, plain.step = nil, nil
		out.Varies = append(out.Varies, &plain)
	}
	out.Limits = slices.Clone(c.Limits)
	for i := range out.Limits {
		out.Limits[i].expr = nil
	}
	return out
}

// Of two checks with one ID, the one of the added codebook stands; the hash
// tells the three codebooks apart.
func TestWith(t *testing.T) {
	load := func(name, title string) *Codebook {
		b, err := New([]*source.File{source.NewFile(name, []byte(rule(`title = "`+title+`"`, `require = "true"`)))})
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	base, other, same := load("x/b.toml", "base"), load("x/a.toml", "other"), load("x/b.toml", "same")
	both := base.With(other)
	if ids := strings.Join(both.IDs(), " "); ids != "x/a x/b" || both.Check("x/b").Title != "base" {
		t.Errorf("checks %s", ids)
	}
	if replaced := base.With(same); len(replaced.Checks) != 1 || replaced.Check("x/b").Title != "same" {
		t.Errorf("checks %v", replaced.IDs())
	}
	if both.Hash == base.Hash || both.Hash == other.Hash || base.Hash == same.Hash || len(both.Hash) != 64 {
		t.Errorf("hashes %s, %s, %s", base.Hash, other.Hash, both.Hash)
	}
}

// Each malformed rule file gives the faults of the golden file beside it.
func TestMalformedRules(t *testing.T) {
	names, err := filepath.Glob("../../testdata/malformed/rule-*.toml")
	if err != nil || len(names) < 10 {
		t.Fatalf("%d malformed rules, %v", len(names), err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		_, err = New([]*source.File{source.NewFile("county/"+filepath.Base(name), text)})
		var faults source.Faults
		if !errors.As(err, &faults) {
			t.Errorf("%s: %v is no list of faults", name, err)
			continue
		}
		golden := strings.TrimSuffix(name, ".toml") + ".txt"
		if *update {
			if err := os.WriteFile(golden, []byte(err.Error()+"\n"), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, readErr := os.ReadFile(golden)
		if readErr != nil {
			t.Fatal(readErr)
		}
		if err.Error()+"\n" != string(want) {
			t.Errorf("%s\n--- got\n%s\n--- want\n%s", name, err, want)
		}
	}
}

// Run `go test ./internal/codebook -update` to rewrite the golden files, and
// read the difference before keeping it.
var update = flag.Bool("update", false, "rewrite the golden files")

func rule(lines ...string) string {
	given := strings.Join(lines, "\n")
	out := ""
	for _, part := range []struct{ key, line string }{
		{"title", `title = "a"`}, {"severity", `severity = "correction"`}, {"each", `each = "string"`}, {"because", `because = "x"`},
	} {
		if !strings.Contains(given, part.key+" =") {
			out += part.line + "\n"
		}
	}
	return out + given + "\n[[cite]]\ncode = \"common practice\"\nsection = \"x\"\n" +
		strings.Repeat("[[example]]\njob = \"barn\"\nexpect = \"met\"\n", 2)
}

// A mistake in a rule is refused when the rule is loaded, at its own line and
// column of the TOML file.
func TestBadRules(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"wrong dimension": {rule(`measure = "string.array.module.voc + string.array.module.isc"`, `at_most = 'q("600 V")'`),
			"x/y.toml:5:36: + does not work on (voltage, current)"},
		"limit of another dimension": {rule(`measure = "string.array.module.voc"`, `at_most = 'q("600 A")'`),
			"x/y.toml:6:11: the limit is a current but the measure is a voltage"},
		"misspelt term": {rule(`measure = 'string.array.module.vok'`, `at_most = 'q("600 V")'`),
			`x/y.toml:5:31: there is no term "vok"; did you mean "voc"?`},
		"unknown name": {rule(`require = 'sit.record_low < q("0 degC")'`),
			`x/y.toml:5:12: there is nothing called "sit"; did you mean "site"?`},
		"unknown unit":           {rule(`require = 'site.record_low < q("0 degQ")'`), `unknown unit "degQ"`},
		"out of scope":           {rule(`require = 'array.rows > 1'`), `x/y.toml:5:12: "array" is not the subject of this check`},
		"unknown kind":           {rule(`each = "strong"`, `require = "true"`), `there is no kind of thing called "strong"`},
		"unknown key":            {rule(`require = "true"`, `mesure = "x"`), `x/y.toml:6:10: unknown key "mesure"; did you mean "measure"?`},
		"condition that is none": {rule(`require = "string.modules"`), "x/y.toml:5:11: require is a condition, but this gives a count"},
		"no limit":               {rule(`when = "true"`), "the check has no limit"},
		"within without equals":  {rule(`measure = "string.modules"`, `at_most = "4"`, `within = "1"`), "within goes with equals"},
		"within of another dimension": {rule(`measure = "string.array.module.voc"`, `equals = 'q("40 V")'`, `within = 'q("1 A")'`),
			"within is a current but the measure is a voltage"},
		"open brace": {rule(`require = "true"`, `remedy = "use {string.modules"`), "x/y.toml:6:15: remedy: the brace is not closed"},
		"order of texts": {rule(`measure = "adoption.nec"`, `at_least = '"2020"'`),
			"x/y.toml:6:12: at_least needs something that can be less or more, but this gives a text; equals compares texts"},
		"text within":             {rule(`measure = "adoption.nec"`, `equals = '"2020"'`, `within = '"3"'`), "x/y.toml:7:10: within needs something that can be less or more"},
		"string and count":        {rule(`require = "string > 3"`), "x/y.toml:5:19: > does not work on (string of modules, count)"},
		"text and count":          {rule(`require = "adoption.nec > 3"`), "x/y.toml:5:25: > does not work on (text, count)"},
		"two forms":               {rule(`measure = "string.modules"`, `at_most = "4"`, `at_least = "3"`), "x/y.toml:7:12: at_least stands beside at_most; give one of at_most, at_least, equals and require\n  x/y.toml:6:11: the other limit"},
		"duplicate key":           {rule(`require = "true"`, `when = "true"`, `require = "false"`), "x/y.toml:7:1: require is given twice\n  x/y.toml:5:1: it is given here first"},
		"editions twice":          {rule(`measure = "string.modules"`, `[[limit]]`, `code = "NEC"`, `editions = ["2020", "2023", "2020"]`, `at_most = "4"`), "x/y.toml:8:29: editions lists \"2020\" twice\n  x/y.toml:8:13: it is given here first"},
		"two limits":              {rule(`measure = "string.modules"`, `[[limit]]`, `code = "NEC"`, `editions = ["2020"]`, `at_most = "4"`, `[[limit]]`, `code = "NEC"`, `editions = ["2023", "2020"]`, `at_most = "5"`), "x/y.toml:12:21: NEC 2020 has two limits\n  x/y.toml:8:13: it is given here first"},
		"two citations":           {rule(`require = "true"`, `[[cite]]`, `code = "NEC"`, `editions = ["2020"]`, `section = "1"`, `[[cite]]`, `code = "NEC"`, `editions = ["2020"]`, `section = "2"`), "x/y.toml:12:13: NEC 2020 has two citations\n  x/y.toml:8:13: it is given here first"},
		"continued line":          {rule("require = \"\"\"string.modules > 1 && \\\n        sit.x\"\"\""), `x/y.toml:6:9: there is nothing called "sit"`},
		"continued, CRLF":         {rule("require = \"\"\"\r\nstring.modules > 1 && \\\r\n\t  sit.x\"\"\""), `x/y.toml:7:4: there is nothing called "sit"`},
		"second line, CRLF":       {rule("require = '''\r\nstring.modules > 1 &&\r\n sit.x'''"), `x/y.toml:7:2: there is nothing called "sit"`},
		"bad severity":            {rule(`severity = "error"`, `require = "true"`), "severity"},
		"syntax":                  {"title = \n", "x/y.toml:1:"},
		"scalar syntax":           {rule(`require = "string.modules > "`), "x/y.toml:5:"},
		"unknown drawing":         {rule(`each = "array"`, `measure = "array.clearance_to_ridge"`, `at_least = 'q("18 in")'`, `draws = "strip along the rigde"`), `y.toml:7:9: nothing on a drawing is called "strip along the rigde"; did you mean "strip along the ridge"?`},
		"unknown paper":           {rule(`each = "array"`, `require = "array.skirt"`, `paper = "roof-plna"`), `y.toml:6:9: no paper of a submittal is of kind "roof-plna"; one of site-plan, roof-plan`},
		"varies by another unit":  {rule(`require = "true"`, `[[vary]]`, `key = "string.array.attachments.spacing"`, `direction = "down"`, `step = 'q("1 A")'`), "x/y.toml:9:8: the step is a current but string.array.attachments.spacing is a length"},
		"varies an unknown term":  {rule(`require = "true"`, `[[vary]]`, `key = "string.modulse"`, `direction = "down"`, `step = "1"`), `x/y.toml:7:14: there is no term "modulse"; did you mean "module"?`},
		"varies nowhere":          {rule(`require = "true"`, `[[vary]]`, `key = "string.modules"`, `step = "1"`), "direction"},
		"varies sideways":         {rule(`require = "true"`, `[[vary]]`, `key = "string.modules"`, `direction = "left"`, `step = "1"`), "direction"},
		"varies in two ways":      {rule(`require = "true"`, `[[vary]]`, `key = "string.fuse.rating"`, `direction = "up"`, `step = 'q("5 A")'`, `values = ["15 A"]`), "x/y.toml:10:10: values stands beside step"},
		"varies through no unit":  {rule(`require = "true"`, `[[vary]]`, `key = "string.fuse.rating"`, `direction = "up"`, `values = ["15 A", "20 V"]`), "x/y.toml:9:19:"},
		"varies without steps":    {rule(`require = "true"`, `[[vary]]`, `key = "string.modules"`, `direction = "up"`), "it says no step, values or table"},
		"varies by half a table":  {rule(`require = "true"`, `[[vary]]`, `key = "string.fuse.rating"`, `direction = "up"`, `table = "240.6(A)"`), "named by code, table and column"},
		"varies an unknown field": {rule(`each = "array"`, `require = "true"`, `[[vary]]`, `key = "array"`, `field = "orgin"`, `part = 1`, `direction = "up"`, `step = 'q("1 in")'`), `array has no key "orgin"`},
		"varies a whole point":    {rule(`each = "array"`, `require = "true"`, `[[vary]]`, `key = "array"`, `field = "origin"`, `direction = "up"`, `step = 'q("1 in")'`), "part names the coordinate of a point"},
		"varies a point by amps":  {rule(`each = "array"`, `require = "true"`, `[[vary]]`, `key = "array"`, `field = "origin"`, `part = 1`, `direction = "up"`, `step = 'q("1 A")'`), "the step is a current but array.origin is a length"},
		"varies a yes or no":      {rule(`require = "true"`, `[[vary]]`, `key = "string.fuse.pv_listed"`, `direction = "either"`, `values = ["true"]`), "a yes or no cannot be varied"},
		"drawn for another":       {rule(`each = "array"`, `measure = "array.clearance_to_ridge"`, `at_least = 'q("18 in")'`, `draws = "way up the plane"`), "a way up the plane is drawn for each plane, and the check looks at each array"},
		"drawn of no measure":     {rule(`each = "array"`, `require = "array.skirt"`, `draws = "strip along the roof edge"`), "what is drawn is a length, and the check measures none"},
		"drawn of no length":      {rule(`each = "plane"`, `measure = "plane.slope"`, `at_least = 'q("4:12")'`, `draws = "way up the plane"`), "what is drawn is a length, and the check measures none"},
		"points do not scale":     {rule(`require = '2.0 * site.record_low < q("0 degC")'`), "does not work on (number, temperature)"},
		"points do not turn":      {rule(`require = '-q("1 degF") < site.record_low'`), "- does not work on (temperature)"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := New([]*source.File{source.NewFile("x/y.toml", []byte(c.text))})
			if err == nil {
				t.Fatal("accepted")
			}
			if !strings.Contains(err.Error(), c.want) {
				t.Errorf("got\n%s\nwant it to contain\n%s", err, c.want)
			}
		})
	}
}

// A mistake inside braces of a sentence is found where it stands, however the
// sentence is written.
func TestBadBraces(t *testing.T) {
	for name, c := range map[string]struct {
		finding string
		want    []string
	}{
		"one":             {`'use {sit.x}'`, []string{`6:17: there is nothing called "sit"`}},
		"several":         {`'{string.modules} of {sit.x}, {string.modulse}'`, []string{`6:33: there is nothing called "sit"`, `6:48: there is no term "modulse"`}},
		"basic":           {`"a \"b\" \u00b0 {sit.x}"`, []string{`6:28: there is nothing`}},
		"unicode":         {"\"\u00b0\U0001F527 {sit.x}\"", []string{`6:16: there is nothing`}},
		"multi-line":      {"'''\na\n b {sit.x}'''", []string{`8:5: there is nothing`}},
		"CRLF":            {"\"\"\"\r\na\r\n b {sit.x}\"\"\"", []string{`8:5: there is nothing`}},
		"continued":       {"\"\"\"a \\\n      b {sit.x}\"\"\"", []string{`7:10: there is nothing`}},
		"lines in braces": {"'''x {string.modules +\n  sit.x}'''", []string{`7:3: there is nothing`}},
		"after lines":     {"'''{string.modules}\n{\nsit.x}'''", []string{`8:1: there is nothing`}},
		"syntax":          {`'a {string.modules + }'`, []string{`6:32: the expression ends too early`}},
		"subject":         {`'a {array.rows}'`, []string{`6:15: "array" is not the subject`}},
		"open":            {"'''a {string.modules}\n and {string'''", []string{`7:6: finding: the brace is not closed`}},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := New([]*source.File{source.NewFile("x/y.toml", []byte(rule(`require = "true"`, `finding = `+c.finding)))})
			var faults source.Faults
			if !errors.As(err, &faults) || len(faults) != len(c.want) {
				t.Fatalf("got %v, want %q", err, c.want)
			}
			for i, f := range faults {
				if !strings.HasPrefix(f.Error(), "x/y.toml:"+c.want[i]) || f.Path != "finding" {
					t.Errorf("got %v (%s), want %s", f, f.Path, c.want[i])
				}
			}
		})
	}
}

// Two files of one check are both named.
func TestTwoFilesOfOneCheck(t *testing.T) {
	text := []byte(rule(`require = "true"`))
	_, err := New([]*source.File{source.NewFile("a/x/y.toml", text), source.NewFile("b/x/y.toml", text)})
	if want := "b/x/y.toml:1:1: two files hold the check x/y\n  a/x/y.toml:1:1: the other file"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// Every row of the scope of a plan review is answered by a check, goes to the
// field checklist, or says why not.
func TestScopeIsWhole(t *testing.T) {
	b, err := LoadProven(rules.FS)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := b.Scope(rules.FS)
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 190 {
		t.Fatalf("only %d rows", len(rows))
	}
	for _, r := range rows {
		if len(r.Checks) == 0 && r.Why == "" && r.Field == "" {
			t.Errorf("%s (%s) is open", r.ID, r.Requirement)
		}
	}
}
