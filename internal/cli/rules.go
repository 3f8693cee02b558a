package cli

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/codebook"
	"plumbrule/internal/report"
)

func (p *program) newRules() *cobra.Command {
	var coverage bool
	c := &cobra.Command{
		Use:               "rules [CHECK]",
		Short:             "List the checks, or show the sheet of one",
		Args:              atMostOne,
		ValidArgsFunction: p.completeChecks,
	}
	c.Flags().BoolVar(&coverage, "coverage", false, "list what a plan review looks at, with the checks that answer it")
	c.RunE = func(c *cobra.Command, args []string) error {
		book, err := p.loadBook()
		if err != nil {
			return err
		}
		out := c.OutOrStdout()
		switch {
		case coverage && len(args) > 0:
			return wrong("--coverage lists the whole scope; it goes with no check")
		case coverage:
			rows, err := book.Scope(p.rules)
			if err != nil {
				return failed(err)
			}
			listCoverage(out, rows)
		case len(args) == 0:
			listChecks(out, book)
		default:
			check := book.Check(args[0])
			if check == nil {
				return wrong("there is no check %q%s", args[0], nearestCheck(args[0], book))
			}
			return report.Sheet(out, check)
		}
		return nil
	}
	return c
}

func (p *program) completeChecks(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	book, err := p.loadBook()
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	words := make([]string, len(book.Checks))
	for i, c := range book.Checks {
		words[i] = cobra.CompletionWithDesc(c.ID, c.Title)
	}
	return words, cobra.ShellCompDirectiveNoFileComp
}

func listChecks(w io.Writer, book *codebook.Codebook) {
	aligned(w, func(line func(...string)) {
		discipline := ""
		for _, c := range book.Checks {
			if c.Discipline != discipline {
				if discipline != "" {
					line("")
				}
				discipline = c.Discipline
				line(strings.ToUpper(discipline))
			}
			line("  "+c.ID, string(c.Severity), c.Title)
		}
	})
	fmt.Fprintf(w, "\n%d checks. The sheet of one: plumbrule rules CHECK\n", len(book.Checks))
}

// listCoverage shows each row of the scope with what answers it, and counts
// the rows by how they are answered.
func listCoverage(w io.Writer, rows []codebook.ScopeRow) {
	var checked, field, reasoned, open int
	aligned(w, func(line func(...string)) {
		for _, r := range rows {
			answer := "open"
			switch {
			case len(r.Checks) > 0:
				checked++
				ids := make([]string, len(r.Checks))
				for i, c := range r.Checks {
					ids[i] = c.ID
				}
				answer = strings.Join(ids, ", ")
			case r.Field != "":
				field++
				answer = "on site: " + r.Field
			case r.Why != "":
				reasoned++
				answer = "no check: " + r.Why
			default:
				open++
			}
			line(r.ID, answer, r.Requirement)
		}
	})
	fmt.Fprintf(w, "\n%d rows: %d answered by checks, %d for the field checklist, %d left to the reviewer with a reason, %d open\n",
		len(rows), checked, field, reasoned, open)
}
