package cli

import (
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"plumbrule/internal/calculator"
	"plumbrule/internal/table"
)

func (p *program) newCalc() *cobra.Command {
	c := &cobra.Command{
		Use:   "calc [NAME [INPUT=VALUE...]]",
		Short: "Run a desk calculator: the function behind a check",
		Long: "Without a name: lists the calculators. With a name: shows its inputs and a worked example.\n" +
			"With a name and inputs: runs it.",
		Example: "  plumbrule calc cold-voltage\n" +
			`  plumbrule calc cold-voltage voc="49.5 V" modules=12 voc-coefficient="-0.28 %/degC" record-low="-5 degC" nec=2023`,
		ValidArgsFunction: completeCalculators,
	}
	format := addChoice(c, "format", "how the result is written", "text", "json")
	c.RunE = func(c *cobra.Command, args []string) error {
		out := c.OutOrStdout()
		if len(args) == 0 {
			if format.value == "json" {
				return printJSON(out, map[string]any{"calculators": calculator.Brief(calculator.All())})
			}
			listCalculators(out)
			return nil
		}
		calc, err := findCalculator(args[0])
		if err != nil {
			return err
		}
		tables, err := p.loadTables()
		if err != nil {
			return err
		}
		if len(args) == 1 && format.value == "json" {
			return printJSON(out, calc.Description())
		}
		if len(args) == 1 {
			return describeCalculator(out, calc, tables)
		}
		result, err := calc.Call(args[1:], tables)
		if err != nil {
			return &exit{exitInput, err}
		}
		if format.value == "text" {
			printResult(out, calc, result, "")
			return nil
		}
		text, err := result.JSON(calc.Name)
		if err != nil {
			return failed(err)
		}
		fmt.Fprintf(out, "%s\n", text)
		return nil
	}
	general := c.HelpFunc()
	c.SetHelpFunc(func(c *cobra.Command, args []string) {
		// The first argument that names a calculator, wherever the flag stands.
		for _, arg := range args {
			calc, err := findCalculator(arg)
			if err != nil {
				continue
			}
			if tables, err := p.loadTables(); err == nil && describeCalculator(c.OutOrStdout(), calc, tables) == nil {
				return
			}
		}
		general(c, args)
	})
	return c
}

func printJSON(w io.Writer, v any) error {
	text, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return failed(err)
	}
	fmt.Fprintf(w, "%s\n", text)
	return nil
}

func findCalculator(name string) (*calculator.Calculator, error) {
	var names []string
	for _, c := range calculator.All() {
		if strings.EqualFold(c.Name, name) {
			return c, nil
		}
		names = append(names, c.Name)
	}
	return nil, wrong("there is no calculator %q%s", name, hint(name, names, "plumbrule calc"))
}

func completeCalculators(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	var words []string
	if len(args) == 0 {
		for _, c := range calculator.All() {
			words = append(words, cobra.CompletionWithDesc(c.Name, c.Gives))
		}
		return words, cobra.ShellCompDirectiveNoFileComp
	}
	if c, err := findCalculator(args[0]); err == nil {
		for _, in := range c.Inputs {
			words = append(words, cobra.CompletionWithDesc(in.Name+"=", in.Meaning))
		}
	}
	return words, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

// aligned writes rows whose cells are parted by tabs.
func aligned(w io.Writer, rows func(line func(cells ...string))) {
	tab := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	rows(func(cells ...string) {
		// A row that ends in empty cells would end in spaces.
		for len(cells) > 0 && cells[len(cells)-1] == "" {
			cells = cells[:len(cells)-1]
		}
		fmt.Fprintln(tab, strings.Join(cells, "\t"))
	})
	tab.Flush()
}

func listCalculators(w io.Writer) {
	aligned(w, func(line func(...string)) {
		for _, c := range calculator.All() {
			line(c.Name, c.Gives, c.Source)
		}
	})
}

func describeCalculator(w io.Writer, c *calculator.Calculator, tables *table.Set) error {
	fmt.Fprintf(w, "%s: %s\nSource: %s\n\nInputs\n", c.Name, c.Gives, c.Source)
	aligned(w, func(line func(...string)) {
		for _, in := range c.Inputs {
			line("  "+inputName(in), inputKind(in), in.Meaning+inputDefault(in))
		}
	})
	fmt.Fprint(w, "\nResults\n")
	aligned(w, func(line func(...string)) {
		for _, o := range c.Outputs {
			unit := o.Unit
			if unit == "" {
				unit = "-"
			}
			line("  "+o.Name, unit, o.Meaning)
		}
	})
	result, err := c.Call(c.Example, tables)
	if err != nil {
		return failed(fmt.Errorf("the worked example: %w", err))
	}
	fmt.Fprint(w, "\nExample\n  plumbrule calc "+c.Name)
	for _, arg := range c.Example {
		fmt.Fprint(w, " "+quoted(arg))
	}
	fmt.Fprint(w, "\n\n")
	printResult(w, c, result, "  ")
	return nil
}

func inputName(in calculator.Input) string {
	if in.Optional {
		return "[" + in.Name + "]"
	}
	return in.Name
}

func inputKind(in calculator.Input) string {
	var kind string
	switch in.Kind {
	case calculator.Quantity:
		kind = in.Dim.String() + ", such as " + in.Dim.Example()
	case calculator.Number:
		kind = "number"
	case calculator.Count:
		kind = "whole number"
	case calculator.Flag:
		kind = "yes or no"
	case calculator.Choice:
		kind = strings.Join(in.Choices, ", ")
	case calculator.Conductor:
		kind = "conductor size, such as 10 AWG"
	case calculator.Text:
		kind = "text"
	}
	if in.List {
		return "list, parted by commas: " + kind
	}
	return kind
}

func inputDefault(in calculator.Input) string {
	var words []string
	if e := in.Expected(); e != "" {
		words = append(words, e)
	}
	if in.Optional {
		words = append(words, "left out: "+in.TakenAs())
	}
	if len(words) == 0 {
		return ""
	}
	return " (" + strings.Join(words, "; ") + ")"
}

// quoted writes an argument of the form name=value the way a shell takes it.
func quoted(arg string) string {
	if name, value, ok := strings.Cut(arg, "="); ok {
		return name + "=" + shellWord(value)
	}
	return arg
}

// shellWord writes a word the way a shell takes it.
func shellWord(word string) string {
	if strings.ContainsAny(word, " \t\"'*()[]&;<>|#$`\\") {
		return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "$", `\$`, "`", "\\`").Replace(word) + `"`
	}
	return word
}

func printResult(w io.Writer, c *calculator.Calculator, r *calculator.Result, indent string) {
	meanings := map[string]string{}
	for _, o := range c.Outputs {
		meanings[o.Name] = o.Meaning
	}
	aligned(w, func(line func(...string)) {
		for _, it := range r.Items {
			line(indent+it.Key, printItem(it), meanings[it.Key])
		}
	})
	var taken []string
	for _, t := range r.Taken {
		taken = append(taken, t.Input+": taken as "+t.As)
	}
	printLines(w, indent, "Left out", taken)
	printLines(w, indent, "Worked", r.Work)
	printLines(w, indent, "From", r.Cite)
}

func printLines(w io.Writer, indent, title string, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s%s\n", indent, title)
	for _, l := range lines {
		fmt.Fprintf(w, "%s  %s\n", indent, l)
	}
}

func printItem(it calculator.Item) string {
	switch v := it.Value.(type) {
	case float64:
		return strings.TrimSpace(strconv.FormatFloat(v, 'g', 6, 64) + " " + it.Unit)
	case bool:
		if v {
			return "yes"
		}
		return "no"
	}
	return fmt.Sprint(it.Value)
}
