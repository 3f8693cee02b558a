package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/quantity"
	"plumbrule/internal/report"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
)

func (p *program) newWhy() *cobra.Command {
	var depth int
	c := &cobra.Command{
		Use:   "why JOB [NUMBER | CHECK [SUBJECT]]",
		Short: "Show how one outcome came about, from the keys of the job up",
		Long: "Shows the chain behind one outcome as a tree: the measure and the limit, each value that they rest on with its formula\n" +
			"and table rows, down to the keys of the job with their lines, and what else rests on those keys.\n" +
			"NUMBER is that of a comment (12) or of one of its subjects (12.3). A check with a subject shows any outcome, met ones too.\n" +
			"Without either it is the first comment.",
		Example: "  plumbrule why job.toml 12.3\n" +
			"  plumbrule why job.toml structural/attachment-uplift \"west line 1 foot 1\"",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 || len(args) > 3 {
				return wrong("why needs the name of one job file, then the number of a comment, or a check and a subject; found %d names", len(args))
			}
			return nil
		},
		ValidArgsFunction: cobra.FixedCompletions([]string{"toml"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	var o checkFlags
	o.allowed = *usual()
	o.outside.add(c)
	c.Flags().IntVar(&depth, "depth", usualDepth, "show this many `LEVELS` of values; 0 shows all")
	addRules(c, &o.jurisdictions)
	o.adopt.add(c, p)
	o.office.addLeave(c)
	c.Flags().StringVar(&o.date, "date", "", "the `DATE` of the review, which ends of deviations are held against")
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := o.adopt.read(o.date); err != nil {
			return err
		}
		if depth < 0 {
			return wrong("--depth %d: a number of levels is expected, 0 for all", depth)
		}
		if err := o.outside.wanting(); err != nil {
			return err
		}
		reviews, err := p.reviewAll(args[:1], o.outside.load, &o)
		if err != nil {
			return err
		}
		comment, outcome, err := asked(reviews[0], args[1:])
		if err != nil {
			return &exit{exitInput, source.Faults{{Message: err.Error()}}}
		}
		return report.Why(c.OutOrStdout(), reviews[0], comment, outcome, report.WhyOptions{TextOptions: report.TextOptions{Color: p.colour}, Depth: depth})
	}
	return c
}

// usualDepth is how many levels of values are shown: enough for most, where all
// of a foot on a large roof fill a book.
const usualDepth = 3

// asked finds the outcome that the arguments name, with its comment where it has
// one.
func asked(r *review.Review, args []string) (*review.Comment, *review.Outcome, error) {
	if len(args) == 0 {
		if len(r.Comments()) == 0 {
			return nil, nil, fmt.Errorf("nothing is outstanding: name a check, and a subject of it")
		}
		args = []string{"1"}
	}
	if strings.Trim(args[0], "0123456789.") == "" {
		if len(args) > 1 {
			return nil, nil, fmt.Errorf("%q: a number names its subject", args[1])
		}
		return r.ByNumber(args[0])
	}
	if r.Book.Check(args[0]) == nil {
		return nil, nil, fmt.Errorf("there is no check %q%s", args[0], nearestCheck(args[0], r.Book))
	}
	var names []string
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if o.Check.ID != args[0] {
			continue
		}
		if len(args) == 1 || args[1] == o.Subject.Name || args[1] == o.Subject.Label() {
			return nil, o, nil
		}
		names = append(names, o.Subject.Name)
	}
	if len(names) == 0 {
		return nil, nil, fmt.Errorf("%s had nothing to look at in this job", args[0])
	}
	return nil, nil, fmt.Errorf("%s has no subject %q%s", args[0], args[1], quantity.DidYouMean(args[1], names))
}
