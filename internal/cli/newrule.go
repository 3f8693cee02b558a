package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// newRuleText is a check to begin from. It loads as it stands, so that --prove
// tells of its examples, none of which can be run until a job is named.
const newRuleText = `title    = "What must be so, in a few words"
severity = "correction"    # correction: must change; verify: the reviewer must confirm it; advisory: good practice
each     = "building"      # what the check looks at, one by one: plumbrule terms lists the kinds
# when   = "building.dwelling"    # to which of them it applies; leave it out where it applies to all
measure  = "building.mean_roof_height"    # an expression over terms: plumbrule terms KIND lists them
at_most  = 'q("30 ft")'    # or at_least, or equals; in place of measure and limit, require = a condition
because  = "Why the rule exists, in your own words."
# finding = "the roof is {building.mean_roof_height} high"    # what is wrong, with expressions in braces
# remedy  = "what would pass"

[[cite]]
code    = "the handout or ordinance"    # for a code that jobs adopt also: editions = ["2021"]
section = "its section"

# Each example is a job of the folder of --jobs, changed, and what the check must say then. As long as one names no job
# that is there, plumbrule rules --prove says so. Have one a little to each side of the limit.
[[example]]
job    = "NAME OF A JOB"    # without .toml
expect = "met"

[[example]]
job    = "NAME OF A JOB"
set    = { "building.mean_roof_height" = "31 ft" }
expect = "not met"

[[example]]
job    = "NAME OF A JOB"
unset  = ["building.mean_roof_height"]
expect = "undetermined"

# With a condition (when), one to which the check does not apply:
# [[example]]
# job    = "NAME OF A JOB"
# set    = { "building.dwelling" = false }
# expect = "not applicable"
`

var ruleName = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*/[a-z][a-z0-9]*(-[a-z0-9]+)*$`)

// newRule writes a check to begin from into a folder of rules, where no file of
// that name is.
func (p *program) newRule(out io.Writer, id string, folders []string) error {
	if len(folders) != 1 {
		return wrong("--new %s: name the folder of rules that it goes into, one: --rules DIR", id)
	}
	discipline, _, _ := strings.Cut(id, "/")
	if !ruleName.MatchString(id) || slices.Contains([]string{"terms", "tables", "sets", "lists"}, discipline) {
		return wrong("--new %s: expected DISCIPLINE/NAME in small letters, such as fire/county-setback", visible(id))
	}
	book, err := p.loadBook()
	if err != nil {
		return err
	}
	if book.Check(id) != nil {
		return wrong("--new %s: there is already a check %s; an added check has a name of its own", id, id)
	}
	path := filepath.Join(folders[0], filepath.FromSlash(id)+".toml")
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return wrong("--new %s: %s is there already and is left as it is", id, filepath.ToSlash(path))
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return wrong("--new %s: the folder %s cannot be made", id, filepath.Dir(path))
	}
	rule := file{"--new", path, func(w io.Writer) error {
		_, err := io.WriteString(w, newRuleText)
		return err
	}}
	if err := put(nil, rule.product()); err != nil {
		return err
	}
	fmt.Fprintf(out, "wrote %s; what is open in it: plumbrule rules --prove %s --jobs DIR\n", visible(filepath.ToSlash(path)), visible(filepath.ToSlash(folders[0])))
	return nil
}
