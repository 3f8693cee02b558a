package paper

import (
	"bytes"
	_ "embed"
	htmltemplate "html/template"
	"io"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	texttemplate "text/template"

	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

//go:embed letters/letter.md
var builtinMarkdown string

//go:embed letters/letter.html
var builtinHTML string

// LetterTemplate is the wording of a letter: the fields of Letter put into a
// text, Markdown or HTML. It can read nothing but those fields.
type LetterTemplate struct {
	HTML bool // for .letter.html; else for Markdown and PDF
	run  func(io.Writer, *Letter) error
}

// letterFunctions are what a template may call besides what the template
// language has itself; none of them reads anything.
var letterFunctions = map[string]any{"join": strings.Join}

// ReadLetterTemplate reads a template; the ending of its file says which language
// it is written in: texts of the job are made safe in that language, so that a
// template need not see to it. It is tried on a letter that has everything and on
// one that has nothing, so that a field it names wrongly is found whatever the
// job is. The error is source.Faults, with the place and the fields that there are.
func ReadLetterTemplate(file *source.File) (*LetterTemplate, error) {
	// The engine puts the name of a template before a place: a short one is found
	// again in its messages whatever the file is called.
	const name = "letter"
	t := &LetterTemplate{HTML: strings.HasSuffix(strings.ToLower(file.Name), ".html")}
	text := strings.TrimPrefix(string(file.Text), "\ufeff")
	if t.HTML {
		parsed, err := htmltemplate.New(name).Funcs(letterFunctions).Parse(text)
		if err != nil {
			return nil, templateFault(file, err)
		}
		t.run = func(w io.Writer, l *Letter) error { return parsed.Execute(w, l.with(wording.Plain)) }
	} else {
		parsed, err := texttemplate.New(name).Funcs(letterFunctions).Parse(text)
		if err != nil {
			return nil, templateFault(file, err)
		}
		t.run = func(w io.Writer, l *Letter) error { return parsed.Execute(w, l.with(wording.Markdown)) }
	}
	for _, specimen := range []*Letter{specimen(), {Round: 1}} {
		if err := t.run(io.Discard, specimen); err != nil {
			return nil, templateFault(file, err)
		}
	}
	return t, nil
}

var (
	place    = regexp.MustCompile(`^(?:html/)?(?:template:)? ?letter:(\d+)(?::(\d+))?: `)
	noField  = regexp.MustCompile(`executing .* at <(.*)>: can't evaluate field (\w+) in type \S+`)
	inAction = regexp.MustCompile(`executing .* at <(?:{{)?(.*?)(?:}})?>: `)
	ourNames = regexp.MustCompile(`\*?paper\.(Letter\w*)`)
)

// templateFault says where a template is wrong and which fields there are.
func templateFault(file *source.File, err error) error {
	message, at := err.Error(), file.Start()
	if m := place.FindStringSubmatch(message); m != nil {
		message = message[len(m[0]):]
		line, _ := strconv.Atoi(m[1]) // the pattern takes digits only
		column, _ := strconv.Atoi(m[2])
		at = file.At(line, column+1) // the engine counts columns from 0
	}
	if m := noField.FindStringSubmatch(message); m != nil {
		message = "{{" + m[1] + "}}: there is no field " + m[2] + " here" + quantity.DidYouMean(m[2], fieldNames())
	}
	message = inAction.ReplaceAllString(message, "{{$1}}: ")
	message = ourNames.ReplaceAllString(strings.TrimPrefix(message, "template: letter: "), "$1")
	return source.Faults{{At: at, Message: message + "; " + fieldList()}}
}

var letterTypes = []reflect.Type{reflect.TypeFor[Letter](), reflect.TypeFor[LetterSheet](), reflect.TypeFor[LetterComment]()}

func fieldsOf(t reflect.Type) []string {
	var names []string
	for i := range t.NumField() {
		names = append(names, t.Field(i).Name)
	}
	return names
}

func fieldNames() []string {
	return slices.Concat(wording.Each(letterTypes, fieldsOf)...)
}

// fieldList names the fields that a template of a letter has, for messages.
func fieldList() string {
	list := func(t reflect.Type) string { return "." + strings.Join(fieldsOf(t), " .") }
	return "a letter has " + list(letterTypes[0]) + "; each sheet in .Corrections, .Verify and .Advice has " + list(letterTypes[1]) +
		"; each of its comments has " + list(letterTypes[2]) + "; see: plumbrule guide letter"
}

// specimen is a letter in which every field holds something.
func specimen() *Letter {
	l := &Letter{}
	fill(reflect.ValueOf(l).Elem())
	return l
}

func fill(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i))
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fill(v.Index(0))
	case reflect.String:
		v.SetString("x")
	case reflect.Int:
		v.SetInt(2)
	}
}

// with is a letter with every text changed in one way.
func (l *Letter) with(change func(string) string) *Letter {
	out := &Letter{}
	copyTexts(reflect.ValueOf(out).Elem(), reflect.ValueOf(l).Elem(), change)
	return out
}

func copyTexts(to, from reflect.Value, change func(string) string) {
	switch from.Kind() {
	case reflect.Struct:
		for i := range from.NumField() {
			copyTexts(to.Field(i), from.Field(i), change)
		}
	case reflect.Slice:
		if from.Len() == 0 {
			return
		}
		to.Set(reflect.MakeSlice(from.Type(), from.Len(), from.Len()))
		for i := range from.Len() {
			copyTexts(to.Index(i), from.Index(i), change)
		}
	case reflect.String:
		to.SetString(change(from.String()))
	default:
		to.Set(from)
	}
}

// builtin are the templates that letters have without one of the authority's.
var (
	builtinLetter     = sync.OnceValue(func() *LetterTemplate { return mustRead("letter.md", builtinMarkdown) })
	builtinLetterHTML = sync.OnceValue(func() *LetterTemplate { return mustRead("letter.html", builtinHTML) })
)

func mustRead(name, text string) *LetterTemplate {
	t, err := ReadLetterTemplate(&source.File{Name: name, Text: []byte(text)})
	if err != nil {
		panic(err) // the file is embedded, and a test reads it
	}
	return t
}

// blankLines are more than one empty line, which templates leave behind.
var blankLines = regexp.MustCompile(`\n{3,}`)

// letterText is the letter in Markdown.
func letterText(r *review.Review, o Options) (string, error) {
	t := o.Letter
	if t == nil {
		t = builtinLetter()
	}
	var b bytes.Buffer
	if err := t.run(&b, makeCorrespondence(r, o)); err != nil {
		return "", err
	}
	return blankLines.ReplaceAllString(strings.TrimSpace(b.String()), "\n\n") + "\n", nil
}

// LetterMarkdown writes the letter as Markdown.
func LetterMarkdown(w io.Writer, r *review.Review, o Options) error {
	text, err := letterText(r, o)
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, text)
	return err
}

// LetterHTML writes the letter as a page of its own, to be printed.
func LetterHTML(w io.Writer, r *review.Review, o Options) error {
	t := o.LetterHTML
	if t == nil {
		t = builtinLetterHTML()
	}
	return t.run(w, makeCorrespondence(r, o))
}
