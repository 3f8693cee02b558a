package cli

import (
	"fmt"
	"io"
	"io/fs"
	"strings"

	"github.com/spf13/cobra"

	"plumbrule/internal/codebook"
	"plumbrule/internal/report"
	"plumbrule/internal/source"
)

func (p *program) newRules() *cobra.Command {
	var coverage, prove bool
	var sheets, jobs, adopted, made string
	var folders []string
	var o proveFlags
	var adopt adoptFlags
	var outside outside
	c := &cobra.Command{
		Use:   "rules [CHECK|DISCIPLINE]",
		Short: "List the checks, or show the sheet of one",
		Long: "Without a name: lists the checks. With a discipline: lists its checks. With a check: shows its sheet.\n" +
			"--prove reads rules as strictly as the project's own: those of the folders and files that are named, or the project's\n" +
			"own. With --jobs it runs their examples, says which kinds of examples there are not, and changes each check in small\n" +
			"ways (a limit by 5 %, a comparison turned, a condition dropped) to name each change that no example notices.\n" +
			"It exits 0 when all examples hold, 1 when one does not or with --survivors when other changes go unnoticed than\n" +
			"are listed, and 2 when a file is wrong. With --adopt it proves a pack: each check that its layers amend or add, under\n" +
			"them; what is dated is taken as if it had come, unless --applied is given.\n" +
			"--adopted shows what is in force for a job, by whose word, and what each layer of --adopt changed.",
		Example: "  plumbrule rules fire/ridge-strip\n" +
			"  plumbrule rules --prove county --jobs jobs\n" +
			"  plumbrule rules --prove county/fire/setback.toml --jobs jobs",
		Args: func(c *cobra.Command, args []string) error {
			if !prove || adopt.pack != "" && len(args) == 0 {
				return atMostOne(c, args)
			}
			return nil
		},
		ValidArgsFunction: p.completeChecks,
	}
	c.Flags().BoolVar(&coverage, "coverage", false, "list what a plan review looks at, with the checks that answer it")
	c.Flags().StringVar(&sheets, "sheets", "", "write the sheet of every check, the guide and an index into this new `DIR`")
	c.Flags().BoolVar(&prove, "prove", false, "prove the rules in the folders and files that are named, or the project's own")
	c.Flags().StringVar(&jobs, "jobs", "", "run the examples against the jobs in this `DIR`")
	c.Flags().StringVar(&adopted, "adopted", "", "show what is in force for this `JOB`, and from where")
	adopt.add(c, p)
	outside.add(c)
	c.Flags().BoolVar(&o.mutants, "mutants", true, "with --prove: change each check in small ways, and name what no example notices")
	c.Flags().StringArrayVar(&o.survivors, "survivors", nil, "with --prove: the changes that may go unnoticed, listed in this `FILE` with the reason; may be given several times")
	format := addChoice(c, "format", "how --adopted and --prove are written", "text", "json")
	c.Flags().StringVar(&made, "new", "", "write a check to begin from, with this `NAME` (DISCIPLINE/NAME), into the folder of --rules")
	addRules(c, &folders)
	c.MarkFlagsMutuallyExclusive("coverage", "sheets", "prove", "adopted", "new")
	_ = c.MarkFlagDirname("sheets")
	_ = c.MarkFlagDirname("jobs")
	c.RunE = func(c *cobra.Command, args []string) error {
		out := c.OutOrStdout()
		if err := adopt.read(""); err != nil {
			return err
		}
		switch {
		case (coverage || sheets != "") && adopt.given():
			return wrong("--coverage and --sheets are about the checks as they come; they go without --adopt and --rule-set")
		case adopted == "" && !prove && format.value != "text":
			return wrong("--format goes with --adopted and --prove")
		case adopted != "" && len(args) > 0:
			return wrong("--adopted shows what is in force for its job, and goes with no further name; found %q", args[0])
		case adopted == "" && len(outside) > 0:
			return wrong("--allow-outside goes with --adopted, which reads a job")
		case adopted != "":
			return p.showAdopted(out, adopted, format.value, &adopt, outside)
		case prove && adopt.given() && len(args) > 0:
			return wrong("--prove proves a pack with --adopt, or the rule files that are named; not both")
		case prove && adopt.given():
			return p.provePack(out, &adopt, jobs)
		case jobs != "" && !prove && sheets == "":
			return wrong("--jobs goes with --prove or --sheets")
		case !prove && (len(o.survivors) > 0 || c.Flags().Changed("mutants")):
			return wrong("--mutants and --survivors go with --prove")
		case jobs == "" && len(o.survivors) > 0:
			return wrong("--survivors goes with --jobs, which runs the examples")
		case len(args) > 0 && (coverage || sheets != ""):
			return wrong("--coverage and --sheets are about all checks; they go with no name")
		case c.Flags().Changed("new") && len(args) > 0:
			return wrong("--new takes one name; found %q as well", args[0])
		case c.Flags().Changed("new"):
			return p.newRule(out, made, folders)
		case prove:
			o.jobs, o.json = jobs, format.value == "json"
			return p.prove(out, args, folders, o)
		case sheets != "":
			return p.writeSheets(out, sheets, jobs, folders)
		case coverage:
			return p.showCoverage(out, folders)
		case len(args) > 0:
			return p.showSheet(out, args[0], &adopt, folders)
		}
		book, err := p.amendedBook(&adopt, folders...)
		if err != nil {
			return err
		}
		listChecks(out, book.Checks)
		return nil
	}
	return c
}

func (p *program) showCoverage(out io.Writer, folders []string) error {
	book, err := p.loadBook(folders...)
	if err != nil {
		return err
	}
	rows, err := book.Scope(p.rules)
	if err != nil {
		return failed(err)
	}
	listCoverage(out, rows)
	return nil
}

func (p *program) showSheet(out io.Writer, id string, adopt *adoptFlags, folders []string) error {
	book, err := p.amendedBook(adopt, folders...)
	if err != nil {
		return err
	}
	if list := checksOf(id, book); len(list) > 0 {
		listChecks(out, list)
		return nil
	}
	if book.Check(id) == nil {
		return wrong("there is no check %q%s", id, nearestCheck(id, book))
	}
	c := book.Check(id)
	name := id + ".toml"
	text, err := fs.ReadFile(p.rules, name)
	if err != nil || len(c.Amended) > 0 || c.Off != "" { // of a folder or a pack, as it was read
		return report.Sheet(out, c)
	}
	whole, err := book.Add([]*source.File{source.NewFile(name, text)}) // with its examples
	if err != nil {
		return failed(err)
	}
	return report.Sheet(out, whole.Check(id))
}

func (p *program) completeChecks(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	book, err := p.loadBook()
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	var words []string
	for i, c := range book.Checks {
		if i == 0 || book.Checks[i-1].Discipline != c.Discipline {
			words = append(words, cobra.CompletionWithDesc(c.Discipline, "all checks of this discipline"))
		}
		words = append(words, cobra.CompletionWithDesc(c.ID, c.Title))
	}
	return words, cobra.ShellCompDirectiveNoFileComp
}

func listChecks(w io.Writer, list []*codebook.Check) {
	aligned(w, func(line func(...string)) {
		discipline := ""
		for _, c := range list {
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
	fmt.Fprintf(w, "\n%s. The sheet of one: plumbrule rules CHECK\n", count(len(list), "check"))
}

// listCoverage shows each row of the scope, below it what answers it, and
// counts the rows by how they are answered.
func listCoverage(w io.Writer, rows []codebook.ScopeRow) {
	var checked, field, reasoned, open int
	for _, r := range rows {
		fmt.Fprintf(w, "%s  %s\n", r.ID, r.Requirement)
		say := func(what, text string) { fmt.Fprintf(w, "    %s: %s\n", what, text) }
		switch {
		case len(r.Checks) > 0:
			checked++
			for _, c := range r.Checks {
				fmt.Fprintf(w, "    %s\n", c.ID)
			}
		case r.Field != "":
			field++
		case r.Why != "":
			reasoned++
		default:
			open++
			fmt.Fprintln(w, "    open")
		}
		if r.Why != "" {
			say("not checked", r.Why)
		}
		if r.Field != "" {
			say("on site", r.Field)
		}
	}
	fmt.Fprintf(w, "\n%d rows: %d answered by checks, %d for the field checklist, %d left to the reviewer with a reason, %d open\n",
		len(rows), checked, field, reasoned, open)
}

// addRules gives a command the flag that adds folders of rules.
func addRules(c *cobra.Command, folders *[]string) {
	c.Flags().StringArrayVar(folders, "rules", nil, "add the checks in the folders of this `DIR`; may be repeated")
	_ = c.MarkFlagDirname("rules")
}
