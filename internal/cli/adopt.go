package cli

import (
	"time"

	"github.com/spf13/cobra"

	"plumbrule/internal/adoption"
	"plumbrule/internal/codebook"
)

// adoptFlags are the flags of the authority's word.
type adoptFlags struct {
	pack    string
	applied string // as 2026-01-31; "" for none
	ruleSet int
}

func (a *adoptFlags) add(c *cobra.Command, p *program) {
	c.Flags().StringVar(&a.pack, "adopt", "", "review under the adoption of this authority: the `NAME` of a pack that comes with the program, or a file")
	c.Flags().StringVar(&a.applied, "applied", "", "date of the application, as 2026-01-31, by which editions and amendments of --adopt are in force; --date where it is left out")
	c.Flags().IntVar(&a.ruleSet, "rule-set", 0, "hold to this `VERSION` of the rule set, and leave out checks that came later")
	_ = c.RegisterFlagCompletionFunc("adopt", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return adoption.Names(p.rules), cobra.ShellCompDirectiveDefault
	})
}

// read refuses flags of which nothing would come; date is that of --date.
func (a *adoptFlags) read(date string) error {
	switch {
	case a.applied != "" && a.pack == "":
		return wrong("--applied says by which date --adopt is in force and goes with it")
	case a.ruleSet < 0:
		return wrong("--rule-set %d: versions are counted from 1", a.ruleSet)
	case a.applied == "" && a.pack != "":
		if _, err := time.Parse(time.DateOnly, date); err == nil {
			a.applied = date
		}
		return nil
	}
	if _, err := time.Parse(time.DateOnly, a.applied); err != nil && a.applied != "" {
		return wrong("--applied %q: a date is expected, such as 2026-01-31", a.applied)
	}
	return nil
}

// force is what is in force under the flags; without any, the codebook as it is. The
// error is source.Faults where a pack is wrong.
func (p *program) force(book *codebook.Codebook, a *adoptFlags) (*adoption.Force, error) {
	return p.inForce(book, a, false)
}

func (p *program) inForce(book *codebook.Codebook, a *adoptFlags, newest bool) (*adoption.Force, error) {
	if a.pack == "" && a.ruleSet == 0 {
		return &adoption.Force{Book: book}, nil
	}
	stack := &adoption.Stack{}
	if a.pack != "" {
		var err error
		if stack, err = adoption.Load(a.pack, p.rules); err != nil {
			return nil, err
		}
	}
	return stack.In(book, adoption.Options{Applied: a.applied, Newest: newest, RuleSet: a.ruleSet})
}
