// Package cli holds the commands and their flags. A command returns an error
// that carries its exit code; only main exits. Nothing is loaded before a
// command asks for it.
package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime/debug"
	"strings"

	"github.com/fatih/color"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"plumbrule/internal/calculator"
	"plumbrule/internal/codebook"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

// Exit codes.
const (
	exitClear       = 0 // nothing outstanding at or above the gate
	exitOutstanding = 1 // something is outstanding
	exitInput       = 2 // the input or the command line is wrong
	exitFailed      = 3 // the tool failed
)

// exit is an error with the code that the process ends with. A nil err ends
// it without a message.
type exit struct {
	code int
	err  error
}

func (e *exit) Error() string {
	if e.err == nil {
		return fmt.Sprintf("exit %d", e.code)
	}
	return e.err.Error()
}

func (e *exit) Unwrap() error { return e.err }

func wrong(format string, a ...any) error { return &exit{exitInput, fmt.Errorf(format, a...)} }
func failed(err error) error              { return &exit{exitFailed, err} }

// defect is failed for an error that may know already how the program ends.
func defect(err error) error {
	if e := (*exit)(nil); errors.As(err, &e) {
		return err
	}
	return failed(err)
}

// Main runs one command line (without the program's name) and gives the code
// to exit with. What a command prints reaches stdout only when the command is
// done, so an error leaves no half of a report behind.
func Main(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	p := &program{rules: rules.FS, colour: stdout == io.Writer(os.Stdout) && !color.NoColor}
	return p.main(args, stdin, stdout, stderr)
}

// program is what the commands share.
type program struct {
	rules fs.FS // the checks and the tables
	// colour reports whether stdout is a terminal that wants colour. The colour
	// library looks at NO_COLOR, TERM and the terminal when the process starts.
	colour bool
	// live is stdout itself, for a command that prints while it runs.
	live io.Writer

	book   *codebook.Codebook // the project's own checks, once they were read
	tables *table.Set         // the tables, once they were found
}

func (p *program) main(args []string, stdin io.Reader, stdout, stderr io.Writer) (code int) {
	defer func() {
		if defect := recover(); defect != nil {
			complain(stderr, fmt.Errorf("defect: %v\n%s", defect, debug.Stack()))
			code = exitFailed
		}
	}()
	if p.colour {
		stdout = color.Output // which translates colours for a console that needs it
	}
	p.live = stdout
	var out strings.Builder
	root := p.newRoot()
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(&out)
	root.SetErr(stderr)
	err := root.Execute()
	e := exitOf(err)
	if code = e.code; e.err != nil {
		complain(stderr, e.err)
	}
	if code == exitInput {
		return code
	}
	if _, err := io.WriteString(stdout, out.String()); err != nil {
		complain(stderr, err)
		return exitFailed
	}
	return code
}

// exitOf is how a command ends that gave an error or none.
func exitOf(err error) *exit {
	var e *exit
	switch {
	case err == nil:
		return &exit{code: exitClear}
	case errors.As(err, &e):
		return e
	}
	return &exit{exitInput, err} // cobra's own: the command line is wrong
}

// complain writes an error, each fault on a line: those that have a place begin
// with it, others with the program's name. Further places stand below, indented.
func complain(w io.Writer, err error) {
	var faults source.Faults
	if errors.As(err, &faults) {
		for _, f := range faults {
			if !f.At.Known() {
				fmt.Fprint(w, "plumbrule: ")
			}
			for _, line := range f.Lines() {
				fmt.Fprintln(w, visible(line))
			}
		}
		return
	}
	var input *calculator.InputError
	if errors.As(err, &input) {
		for _, f := range input.Faults {
			fmt.Fprintf(w, "plumbrule: calc %s: %s\n", input.Calculator, visible(f))
		}
		return
	}
	for _, l := range strings.Split(err.Error(), "\n") {
		fmt.Fprintln(w, "plumbrule: "+visible(l))
	}
}

// visible shows characters that steer a terminal instead of sending them.
func visible(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7F || r >= 0x80 && r < 0xA0 {
			return '?'
		}
		return r
	}, s)
}

func (p *program) newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "plumbrule",
		Short: "Holds a photovoltaic submittal against the codes",
		Long: "plumbrule holds one photovoltaic submittal against the codes, computing the engineering that they ask for.\n" +
			"It is a preflight aid: the authority having jurisdiction and licensed professionals decide.\n\n" +
			"Exit codes: 0 nothing outstanding at or above the gate, 1 outstanding,\n" +
			"2 the input or the command line is wrong, 3 the tool failed.",
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          unknownCommand,
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	root.SetFlagErrorFunc(flagError)
	root.SetHelpCommand(newHelp())
	root.AddCommand(p.newCheck(), p.newBackcheck(), p.newWhy(), p.newMargins(), p.newRemedy(), p.newDraft(), p.newEquipment(), p.newExpand(), p.newFormat(), p.newCalc(), p.newRules(), p.newTerms(), p.newKeys(), p.newGuide(), p.newSchema(), p.newLSP(), p.newVersion())
	return root
}

// newHelp is the help command, which refuses what is no command.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Show what a command does",
		RunE: func(c *cobra.Command, args []string) error {
			about, rest, err := c.Root().Find(args)
			if err != nil {
				return wrong("%w", err)
			}
			if about == c.Root() {
				if err := unknownCommand(about, rest); err != nil {
					return err
				}
			}
			return about.Help()
		},
	}
}

// unknownCommand refuses what is no command, with the nearest that is.
func unknownCommand(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	var names []string
	for _, sub := range c.Commands() {
		if sub.IsAvailableCommand() {
			names = append(names, sub.Name())
		}
	}
	return wrong("unknown command %q%s", args[0], hint(args[0], names, "plumbrule help"))
}

// hint is what follows a word that is not known: the nearest one that is, or
// the command that lists them.
func hint(word string, known []string, list string) string {
	if near := quantity.DidYouMean(word, known); near != "" {
		return near
	}
	return "; they are listed by: " + list
}

// flagError refuses a flag, with the nearest one that the command has.
func flagError(c *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	if !errors.As(err, &unknown) {
		return wrong("%w", err)
	}
	var names []string
	c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
	return wrong("%w%s", err, quantity.DidYouMean(unknown.GetSpecifiedName(), names))
}

// choice is a flag that takes one of a few words.
type choice struct {
	value string
	words []string
}

func (c *choice) String() string { return c.value }
func (c *choice) Type() string   { return strings.Join(c.words, "|") }
func (c *choice) Set(s string) error {
	for _, w := range c.words {
		if w == s {
			c.value = s
			return nil
		}
	}
	return fmt.Errorf("expected one of %s%s", strings.Join(c.words, ", "), quantity.DidYouMean(s, c.words))
}

// addChoice gives a command a flag that takes one of a few words, the first of
// which is its default.
func addChoice(c *cobra.Command, name, usage string, words ...string) *choice {
	v := &choice{words[0], words}
	c.Flags().Var(v, name, usage)
	// The error can only say that the flag does not exist or is registered
	// twice; the line above and the tests rule both out.
	_ = c.RegisterFlagCompletionFunc(name, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
	return v
}

// atMostOne lets a command take one word or none.
func atMostOne(c *cobra.Command, args []string) error {
	if len(args) > 1 {
		return wrong("%s takes one name at most; found %q as well", c.Name(), args[1])
	}
	return nil
}

// noNames lets a command take no word.
func noNames(c *cobra.Command, args []string) error {
	if len(args) > 0 {
		return wrong("%s takes no names; found %q", c.Name(), args[0])
	}
	return nil
}

// loadBook reads the checks for a review: the project's own, which the tests
// prove, and those of each folder that the user adds, in full. A fault in the
// first is the program's, one in the others the user's.
func (p *program) loadBook(jurisdictions ...string) (*codebook.Codebook, error) {
	if p.book == nil {
		book, err := codebook.LoadProven(p.rules)
		if err != nil {
			return nil, failed(err)
		}
		p.book = book
	}
	book := p.book
	for _, dir := range jurisdictions {
		files, err := ruleFilesIn(dir)
		if err != nil {
			return nil, err
		}
		if book, _, err = p.join(book, files); err != nil {
			return nil, err
		}
	}
	return book, nil
}

// loadSheets reads the project's own checks with all that their sheets show.
func (p *program) loadSheets(folders ...string) (*codebook.Codebook, error) {
	book, err := codebook.Load(p.rules)
	if err != nil {
		return nil, failed(err)
	}
	p.book = book
	return p.loadBook(folders...)
}

// loadTables finds the tables; each is decoded when it is first used.
func (p *program) loadTables() (*table.Set, error) {
	if p.tables == nil {
		t, err := table.LoadProven(p.rules, "tables")
		if err != nil {
			return nil, failed(err)
		}
		p.tables = t
	}
	return p.tables, nil
}
