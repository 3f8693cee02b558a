package cli

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/terms"
)

func newTerms() *cobra.Command {
	return &cobra.Command{
		Use:   "terms [KIND]",
		Short: "List the vocabulary that checks may use",
		Args:  atMostOne,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return kindNames(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				listKinds(c.OutOrStdout())
				return nil
			}
			kind := terms.KindByName(args[0])
			if kind == nil {
				kind = terms.KindByPlural(args[0])
			}
			if kind == nil {
				return wrong("there is no kind %q%s", args[0], hint(args[0], kindNames(), "plumbrule terms"))
			}
			listTerms(c.OutOrStdout(), kind)
			return nil
		},
	}
}

func kindNames() []string {
	var names []string
	for _, k := range terms.Kinds() {
		names = append(names, k.Name)
	}
	return names
}

func listKinds(w io.Writer) {
	aligned(w, func(line func(...string)) {
		for _, k := range terms.Kinds() {
			line(k.Name, fmt.Sprintf("%d terms", len(k.Terms())), k.Meaning)
		}
	})
	fmt.Fprint(w, "\nThe terms of one kind: plumbrule terms KIND\n")
}

// listTerms shows what the job gives first, then what is derived from it.
func listTerms(w io.Writer, k *terms.Kind) {
	fmt.Fprintf(w, "%s: %s\n", k.Name, k.Meaning)
	for _, part := range []struct {
		title string
		given bool
	}{{"Given in the job file", true}, {"Derived", false}} {
		var list []*terms.Term
		for _, t := range k.Terms() {
			if t.Given == part.given {
				list = append(list, t)
			}
		}
		if len(list) == 0 {
			continue
		}
		fmt.Fprintf(w, "\n%s\n", part.title)
		aligned(w, func(line func(...string)) {
			for _, t := range list {
				line("  "+t.Name, t.Type.String(), t.Meaning, origin(t))
			}
		})
	}
}

// origin is the source of a derived term and the calculator that runs it.
func origin(t *terms.Term) string {
	var parts []string
	if t.Source != "" {
		parts = append(parts, t.Source)
	}
	if t.Calculator != "" {
		parts = append(parts, "plumbrule calc "+t.Calculator)
	}
	return strings.Join(parts, "; ")
}
