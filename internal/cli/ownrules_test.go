package cli

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
)

// Every file of a folder of rules is read or refused, whichever command reads it.
func TestFolderOfRules(t *testing.T) {
	term := "meaning = \"half of the rating\"\ntype = \"current\"\nsource = \"common practice\"\nvalue = \"overcurrent.rating / 2\"\n"
	tree(t, map[string]string{
		"good/fire/fuse.toml":              strings.Replace(county, `"overcurrent.rating"`, `"overcurrent.half"`, 1),
		"good/terms/overcurrent/half.toml": term,
		"good/README.md":                   "notes",
		"good/.git/config.toml":            "[core]",
		"good/fire/fuse.toml~":             "a backup",
		"unread/fire/fuse.toml":            county,
		"unread/terms/overcurrent/h.toml":  term,
		"top/fire/fuse.toml":               county,
		"top/loose.toml":                   county,
		"deep/fire/old/fuse.toml":          county,
		"near/trems/overcurrent/half.toml": term,
		"short/terms/half.toml":            term,
		"tables/tables/county/snow.toml":   "name = \"snow\"",
		"sets/sets/labels/some.toml":       "name = \"some\"",
		"bare/fire/notes.md":               "nothing",
		"end/fire/fuse.tmol":               county,
		"file.toml":                        county,
		"none/.keep":                       "",
		"job.toml":                         shed + fuse,
		"big.toml":                         shed + big,
	})
	if err := os.Symlink("fuse.toml", "top/fire/linked.toml"); err == nil {
		defer os.Remove("top/fire/linked.toml")
	}
	for dir, words := range map[string]string{
		"top":       "top/loose.toml: no rule file is read at this depth; expected <discipline>/<check>.toml or terms/<kind>/<term>.toml",
		"deep":      "deep/fire/old: no rule file is read at this depth",
		"near":      `did you mean "terms"?`,
		"short":     "short/terms/half.toml: no rule file is read at this depth",
		"tables":    "tables/tables: expressions read no tables",
		"sets":      "sets/sets: only the project's own rules have sets",
		"bare":      "bare/fire: the folder holds no rule file",
		"end":       `did you mean "fuse.toml"?`,
		"file.toml": "it is a file, not a folder of rules",
		"none":      "none: no rule files",
		"absent":    "absent: there is no such folder",
	} {
		for _, command := range []string{"check job.toml", "why job.toml", "rules", "rules --coverage", "rules --sheets out", "terms"} {
			runWith(t, scoped(), append(strings.Fields(command), "--rules", dir)...).exits(exitInput).complains(words).printsNothing()
		}
		if dir != "file.toml" && dir != "absent" {
			runWith(t, scoped(), "rules", "--prove", dir).exits(exitInput).complains(words).printsNothing()
		}
	}
	good := []string{"--rules", "good"}
	runWith(t, scoped(), append([]string{"rules"}, good...)...).exits(exitClear).prints("fire/fuse", "electrical/fuse")
	runWith(t, scoped(), append([]string{"rules", "fire/fuse"}, good...)...).exits(exitClear).prints("County fuse", "overcurrent.half")
	runWith(t, scoped(), append([]string{"terms", "overcurrent"}, good...)...).exits(exitClear).prints("overcurrent.rating / 2")
	runWith(t, scoped(), append([]string{"rules", "--sheets", "out"}, good...)...).exits(exitClear)
	if !strings.Contains(read(t, "out/fire/fuse.md"), "County fuse") {
		t.Error("no sheet of the added check")
	}
	runWith(t, scoped(), append([]string{"check", "big.toml"}, good...)...).prints("plumbrule check --missing --rules good big.toml")
	runWith(t, scoped(), "rules", "--prove", "good").exits(exitClear).prints("1 check loaded")
	runWith(t, scoped(), "rules", "--prove", "unread").exits(exitClear).prints("unread/terms/overcurrent/h.toml:1:1: no check and no term uses the term h of overcurrent")
}

// A check to begin from loads, says what is open in it, and never takes the place
// of another.
func TestNewRule(t *testing.T) {
	tree(t, map[string]string{"jobs/shed.toml": shed + fuse})
	run(t, "rules", "--new", "fire/height", "--rules", "county").exits(exitClear).prints("wrote county/fire/height.toml")
	run(t, "rules", "--prove", "county").exits(exitClear).prints("1 check loaded")
	r := run(t, "rules", "--prove", "county", "--jobs", "jobs").exits(exitOutstanding)
	r.prints("county/fire/height.toml:", "the example cannot be run: jobs/NAME OF A JOB.toml: there is no such file", "3 wanting")
	before := read(t, "county/fire/height.toml")
	run(t, "rules", "--new", "fire/height", "--rules", "county").exits(exitInput).complains("county/fire/height.toml is there already").printsNothing()
	if read(t, "county/fire/height.toml") != before {
		t.Error("a rule file was written over")
	}
	for _, c := range [][2]string{{"fire/ridge-strip", "there is already a check"}, {"height", "expected DISCIPLINE/NAME"}, {"../fire/x", "expected DISCIPLINE/NAME"}, {"terms/array", "expected DISCIPLINE/NAME"}} {
		run(t, "rules", "--new", c[0], "--rules", "county").exits(exitInput).complains(c[1]).printsNothing()
	}
	run(t, "rules", "--new", "fire/other").exits(exitInput).complains("--rules DIR")
	run(t, "rules", "--new", "fire/other", "--prove").exits(exitInput).printsNothing()
}

// What no example notices is told to machines too, and held against a list.
func TestSurvivors(t *testing.T) {
	const up, down = "fire/fuse at_most: q(\"20 A\") -> q(\"20 A\") * 1.05\n", "fire/fuse at_most: q(\"20 A\") -> q(\"20 A\") * 0.95\n"
	tree(t, map[string]string{
		"county/fire/fuse.toml": county, "jobs/shed.toml": shed + fuse,
		"all.txt":   "# fuses are made of 15, 20 and 25 A\n" + up + down,
		"some.txt":  "# fuses are made of 15, 20 and 25 A\n" + up,
		"stale.txt": "# as before\n" + up + down + "fire/fuse at_most: at most -> at least\nfire/away when: a -> b\n",
		"bad.txt":   up + "# why\nnonsense\n" + down + down,
	})
	prove := func(more ...string) *ran {
		return runWith(t, few(), append([]string{"rules", "--prove", "county", "--jobs", "jobs"}, more...)...)
	}
	prove("--survivors", "all.txt").exits(exitClear).prints("of them 0 not listed in all.txt")
	prove("--survivors", "some.txt").exits(exitOutstanding).prints("no example notices: at_most: q(\"20 A\") -> q(\"20 A\") * 0.95", "of them 1 not listed")
	prove("--survivors", "stale.txt").exits(exitOutstanding).prints("stale.txt: no survivor any more, or no such change: fire/fuse at_most: at most -> at least\n")
	prove("--survivors", "bad.txt").exits(exitInput).complains("bad.txt:1:1: a survivor stands below a line", "bad.txt:3:1: no survivor", "bad.txt:5:1: the survivor is listed twice").printsNothing()
	prove("--survivors", "none.txt").exits(exitInput).complains("cannot be read")
	var got proved
	if err := json.Unmarshal([]byte(prove("--format", "json").exits(exitClear).stdout), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Proofs) != 1 || got.Mutants != 3 || len(got.Proofs[0].Survivors) != 2 || got.Proofs[0].Survivors[0].Line != 5 || got.Proofs[0].Survivors[0].Was != `q("20 A")` {
		t.Errorf("found %+v", got)
	}
	runWith(t, few(), "rules", "--survivors", "all.txt").exits(exitInput).complains("go with --prove")
}
