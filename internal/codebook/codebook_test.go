package codebook

import (
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
}

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
		"open brace":             {rule(`require = "true"`, `remedy = "use {string.modules"`), "a brace is not closed"},
		"bad severity":           {rule(`severity = "error"`, `require = "true"`), "severity"},
		"syntax":                 {"title = \n", "x/y.toml:1:"},
		"scalar syntax":          {rule(`require = "string.modules > "`), "x/y.toml:5:"},
		"points do not scale":    {rule(`require = '2.0 * site.record_low < q("0 degC")'`), "does not work on (number, temperature)"},
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
