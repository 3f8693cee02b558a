package cli

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

func (p *program) newKeys() *cobra.Command {
	var all bool
	c := &cobra.Command{
		Use:   "keys [SECTION]",
		Short: "List the keys of a job file, section by section",
		Long: "List the keys of a job file: what each holds and means, the words that it may take, and what holds when it is left out.\n" +
			"Without a section, list the sections: [site] stands once, [[plane]] once for each plane.",
		Args: atMostOne,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return sectionNames(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(c *cobra.Command, args []string) error {
			out := c.OutOrStdout()
			switch {
			case all && len(args) > 0:
				return wrong("keys takes a section or --all, not both")
			case all:
				for i, s := range sections() {
					if i > 0 {
						fmt.Fprintln(out)
					}
					listSection(out, s)
				}
			case len(args) > 0 && args[0] == "standard":
				listStandardSets(out)
			case len(args) > 0:
				name := strings.Trim(args[0], "[]")
				found := false
				for _, s := range sections() {
					if s.name != name && !strings.HasPrefix(s.name, name+".") {
						continue
					}
					if found {
						fmt.Fprintln(out)
					}
					found = true
					listSection(out, s)
				}
				if !found {
					return wrong("there is no section %q%s", args[0], hint(name, sectionNames(), "plumbrule keys"))
				}
			default:
				aligned(out, func(line func(...string)) {
					for _, s := range sections() {
						line(s.header(), count(len(s.keys()), "key"), s.field.Doc)
					}
				})
				fmt.Fprint(out, "\nstandard = [\"NAME\"], before the first section, takes over the labels and papers of standard sets: plumbrule keys standard\n"+
					"like = \"NAME\", in a section in double brackets that has a name, takes over what it does not state from another.\n"+
					"include = [\"equipment.toml\"], before the first section, takes over the sections of other files.\n"+
					"without = [\"KEY\"], beside standard or like, names what is not taken over.\n"+
					"equipment = \"DIR\", before the first section, takes the types that the job names from the files in a folder.\n"+
					"The keys of one section: plumbrule keys SECTION; of every section: plumbrule keys --all\n")
			}
			return nil
		},
	}
	c.Flags().BoolVar(&all, "all", false, "list the keys of every section")
	return c
}

// section is one kind of table of the job file, by its name as a header has it.
type section struct {
	name  string
	field *job.Field
}

// header is how the section is opened: in double brackets where it may stand
// several times.
func (s section) header() string {
	if s.field.Kind == job.KindTables {
		return "[[" + s.name + "]]"
	}
	return "[" + s.name + "]"
}

// keys are those of its fields that are no sections of their own, its patterns
// last.
func (s section) keys() (list []*job.Field) {
	for _, f := range slices.Concat(s.field.Table.Fields, s.field.Table.Patterns) {
		if f.Table == nil {
			list = append(list, f)
		}
	}
	return list
}

// sections lists every section, each before those within it.
func sections() (list []section) {
	var walk func(t *job.Table, prefix string)
	walk = func(t *job.Table, prefix string) {
		for _, f := range t.Fields {
			if f.Table != nil {
				list = append(list, section{prefix + f.Key, f})
				walk(f.Table, prefix+f.Key+".")
			}
		}
	}
	walk(job.Model(), "")
	return list
}

func sectionNames() (names []string) {
	for _, s := range sections() {
		names = append(names, s.name)
	}
	return append(names, "standard")
}

// listStandardSets lists the standard sets and the keys that name them.
func listStandardSets(w io.Writer) {
	for _, f := range job.Model().Patterns {
		fmt.Fprintf(w, "%s = [...]: %s\n", f.Key, f.Doc)
	}
	fmt.Fprintln(w)
	aligned(w, func(line func(...string)) {
		for _, s := range job.StandardSets() {
			line("  "+s.Name, s.Meaning)
		}
	})
	fmt.Fprint(w, "\nWhat a set gives: plumbrule expand JOB\n")
}

func listSection(w io.Writer, s section) {
	fmt.Fprintf(w, "%s: %s\n", s.header(), s.field.Doc)
	aligned(w, func(line func(...string)) {
		for _, f := range s.keys() {
			means := said(f)
			if slices.Contains(s.field.Table.Patterns, f) {
				means += "; written out before the review, see plumbrule expand"
			}
			line("  "+f.Key, holds(f), means)
		}
	})
}

// said is what a key means, with its words and what holds without it.
func said(f *job.Field) string {
	parts := []string{f.Doc}
	if words := oneOf(f); words != "" {
		parts = append(parts, words)
	}
	switch says := f.LeftOut(); {
	case f.Required:
		parts = append(parts, "required")
	case says != "":
		parts = append(parts, "left out: "+says)
	}
	return strings.Join(parts, "; ")
}

// holds is what a key holds, with an example as the job writes it.
func holds(f *job.Field) string {
	names := f.AnyOf
	if f.Ref != "" {
		names = []string{f.Ref}
	}
	kind := strings.ReplaceAll(strings.Join(names, " or "), "_", " ")
	switch f.Kind {
	case job.KindText:
		if kind != "" {
			return "name of " + kind
		}
	case job.KindTexts:
		if kind != "" {
			return "list of names of " + kind
		}
		return `list of text, as ["A", "B"]`
	case job.KindQuantity:
		return fmt.Sprintf("%s, as %s", f.Dim, f.Example(quantity.US, nil))
	case job.KindQuantities:
		return fmt.Sprintf("list of %s, as %s", f.Dim, f.Example(quantity.US, nil))
	case job.KindFlag:
		return "true or false"
	case job.KindSize:
		return `conductor size, as "10 AWG"`
	case job.KindPoint:
		return `point, as ["10 ft", "4 ft 6 in"]`
	case job.KindPoints:
		return `points, as [["0 ft", "0 ft"], ["40 ft", "0 ft"], ["40 ft", "14 ft"]]`
	case job.KindCells:
		return "places, as [[1, 4], [2, 4]]"
	case job.KindCounts:
		return "list of count, as [4, 8]"
	}
	return f.Type()
}
