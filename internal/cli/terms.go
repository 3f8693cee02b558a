package cli

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

func (p *program) newTerms() *cobra.Command {
	var all bool
	var folders []string
	c := &cobra.Command{
		Use:   "terms [KIND]",
		Short: "List the keys of a job and the vocabulary that checks may use",
		Args:  atMostOne,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return kindNames(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(c *cobra.Command, args []string) error {
			out := c.OutOrStdout()
			if all && len(args) > 0 {
				return wrong("terms takes a kind or --all, not both")
			}
			kind := (*terms.Kind)(nil)
			if len(args) > 0 {
				if kind = kindCalled(args[0]); kind == nil {
					return wrong("there is no kind %q%s", args[0], hint(args[0], kindNames(), "plumbrule terms"))
				}
			}
			book, err := p.loadBook(folders...)
			if err != nil {
				return err
			}
			switch {
			case kind != nil:
				listTerms(out, book.Words, kind)
			case all:
				for _, k := range terms.Kinds() {
					listTerms(out, book.Words, k)
					fmt.Fprintln(out)
				}
				listLanguage(out)
			default:
				listKinds(out, book.Words)
				listLanguage(out)
				fmt.Fprint(out, "\nThe keys and terms of one kind: plumbrule terms KIND; of every kind: plumbrule terms --all\n"+
					"The keys as they stand in a job file: plumbrule keys\n")
			}
			return nil
		},
	}
	c.Flags().BoolVar(&all, "all", false, "list the keys and terms of every kind")
	addRules(c, &folders)
	return c
}

func kindCalled(name string) *terms.Kind {
	if k := terms.KindByName(name); k != nil {
		return k
	}
	return terms.KindByPlural(name)
}

func kindNames() []string {
	var names []string
	for _, k := range terms.Kinds() {
		names = append(names, k.Name)
	}
	return names
}

func listKinds(w io.Writer, words *codebook.Vocabulary) {
	aligned(w, func(line func(...string)) {
		for _, k := range terms.Kinds() {
			line(k.Name, count(len(words.Terms(k)), "term"), k.Meaning)
		}
	})
}

// listLanguage shows what expressions may say beside terms, and the units that
// quantities are written in, in jobs and rules alike.
func listLanguage(w io.Writer) {
	fmt.Fprint(w, "\nIn expressions, beside the operators of CEL\n")
	aligned(w, func(line func(...string)) {
		for _, f := range codebook.Language() {
			line("  "+f.Form, f.Meaning)
		}
	})
	fmt.Fprint(w, "\nQuantities and their units\n")
	aligned(w, func(line func(...string)) {
		for _, d := range quantity.Dimensions() {
			line("  "+d.String(), strings.Join(quantity.Units(d), ", "))
		}
	})
}

// listTerms shows the keys that the job gives first, then what is derived from
// them in Go, then what rule files define.
func listTerms(w io.Writer, words *codebook.Vocabulary, k *terms.Kind) {
	fmt.Fprintf(w, "%s: %s\n", k.Name, k.Meaning)
	if k.Table != nil {
		listKeys(w, words, k)
		listPatterns(w, k.Table)
	}
	var derived, defined []*terms.Term
	for _, t := range words.Terms(k) {
		switch {
		case t.Given:
		case words.Expression(t) != "":
			defined = append(defined, t)
		default:
			derived = append(derived, t)
		}
	}
	if len(derived) > 0 {
		fmt.Fprint(w, "\nDerived\n")
		aligned(w, func(line func(...string)) {
			for _, t := range derived {
				line("  "+t.Name, t.Type.String(), t.Meaning, origin(t))
			}
		})
	}
	if len(defined) > 0 {
		fmt.Fprint(w, "\nDefined by an expression\n")
		aligned(w, func(line func(...string)) {
			for _, t := range defined {
				line("  "+t.Name, t.Type.String(), t.Meaning, origin(t), oneLine(words.Expression(t)))
			}
		})
	}
}

// listKeys shows every key of the kind's table in the job file, with those that
// no expression reaches: points and rows, which derived terms read.
func listKeys(w io.Writer, words *codebook.Vocabulary, k *terms.Kind) {
	var apart []*job.Field
	fmt.Fprint(w, "\nGiven in the job file\n")
	aligned(w, func(line func(...string)) {
		for _, f := range byKey(k.Table) {
			if t := words.Term(k, f.Key); t != nil && t.Given {
				line("  "+f.Key, t.Type.String(), f.Meaning(), oneOf(f))
			} else {
				apart = append(apart, f)
			}
		}
	})
	if len(apart) == 0 {
		return
	}
	fmt.Fprint(w, "\nGiven in the job file, for derived terms alone to read\n")
	aligned(w, func(line func(...string)) {
		for _, f := range apart {
			line("  "+f.Key, f.Type(), f.Meaning(), oneOf(f))
			if f.Table == nil {
				continue
			}
			for _, g := range byKey(f.Table) {
				line("    "+f.Key+"."+g.Key, g.Type(), g.Meaning(), oneOf(g))
			}
		}
	})
}

// listPatterns shows the keys that stand for others: of the kind's table and of
// the tables in it.
func listPatterns(w io.Writer, t *job.Table) {
	aligned(w, func(line func(...string)) {
		head := "\nGiven in the job file, and written out before the review (plumbrule expand)"
		show := func(before string, t *job.Table) {
			for _, f := range t.Patterns {
				if head != "" {
					fmt.Fprintln(w, head)
					head = ""
				}
				line("  "+before+f.Key, f.Type(), f.Meaning(), oneOf(f))
			}
		}
		show("", t)
		for _, f := range t.Fields {
			if f.Table != nil {
				show(f.Key+".", f.Table)
			}
		}
	})
}

func byKey(t *job.Table) []*job.Field {
	return slices.SortedFunc(slices.Values(t.Fields), func(a, b *job.Field) int { return strings.Compare(a.Key, b.Key) })
}

// oneOf lists the words that a key may take.
func oneOf(f *job.Field) string {
	if len(f.Choice) == 0 {
		return ""
	}
	return "one of " + strings.Join(f.Choice, ", ")
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

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
