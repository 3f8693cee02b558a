package cli

import (
	"github.com/spf13/cobra"

	"plumbrule/internal/margins"
	"plumbrule/internal/report"
)

func (p *program) newMargins() *cobra.Command {
	var format string
	var first int
	c := &cobra.Command{
		Use:   "margins JOB",
		Short: "Show what a job can stand: limits that are near, and how far values may move",
		Long: "Lists the checks that are nearest to their limits, and moves values of the place (record low, design high, wind, snow,\n" +
			"fault current) and of the design (spacing of feet, stand-off, modules in a string), each by itself and step by step,\n" +
			"until an outcome turns. The last value at which nothing turns and the first at which something does were both reviewed.",
		Example: "  plumbrule margins job.toml\n  plumbrule margins --first 5 --format json job.toml",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return wrong("margins needs the name of one job file; found %d names", len(args))
			}
			return nil
		},
		ValidArgsFunction: cobra.FixedCompletions([]string{"toml"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	var o checkFlags
	o.allowed = *usual()
	o.outside.add(c)
	c.Flags().StringVar(&format, "format", "text", "`FORMAT` of the list: text or json")
	c.Flags().IntVar(&first, "first", 10, "show this many `CHECKS` that are near their limits")
	addRules(c, &o.jurisdictions)
	o.adopt.add(c, p)
	o.office.addLeave(c)
	c.Flags().StringVar(&o.date, "date", "", "the `DATE` of the review, which ends of deviations are held against")
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := o.adopt.read(o.date); err != nil {
			return err
		}
		switch {
		case format != "text" && format != "json":
			return wrong("--format %s: text or json is expected", format)
		case first < 0:
			return wrong("--first %d: a number of checks is expected", first)
		}
		if err := o.outside.wanting(); err != nil {
			return err
		}
		s, err := p.session(args[0], &o)
		if err != nil {
			return err
		}
		var values []*margins.Value
		if err := o.allowed.run(func() error { values = margins.Values(s); return nil }); err != nil {
			return failed(err)
		}
		write := report.Margins
		if format == "json" {
			write = report.MarginsJSON
		}
		return write(c.OutOrStdout(), s.Review(), margins.Nearest(s.Review()), values, first)
	}
	return c
}
