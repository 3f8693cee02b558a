package paper

import (
	"bytes"
	_ "embed"
	"fmt"
	htmltemplate "html/template"
	"io"
	"reflect"
	"regexp"
	"strings"
	"sync"
	texttemplate "text/template"

	"plumbrule/internal/review"
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

// ReadLetterTemplate reads a template from its text; name is its file, which
// says by its ending which language it is written in: texts of the job are made
// safe in that language, so that a template need not see to it. It is tried on a
// letter that has everything and on one that has nothing, so that a field it
// names wrongly is found whatever the job is. The error names place and fields.
func ReadLetterTemplate(name, text string) (*LetterTemplate, error) {
	t := &LetterTemplate{HTML: strings.HasSuffix(strings.ToLower(name), ".html")}
	if t.HTML {
		parsed, err := htmltemplate.New(name).Funcs(letterFunctions).Parse(text)
		if err != nil {
			return nil, templateError(name, err)
		}
		t.run = func(w io.Writer, l *Letter) error { return parsed.Execute(w, l.with(wording.Plain)) }
	} else {
		parsed, err := texttemplate.New(name).Funcs(letterFunctions).Parse(text)
		if err != nil {
			return nil, templateError(name, err)
		}
		t.run = func(w io.Writer, l *Letter) error { return parsed.Execute(w, l.with(wording.Markdown)) }
	}
	for _, specimen := range []*Letter{specimen(), {Round: 1}} {
		if err := t.run(io.Discard, specimen); err != nil {
			return nil, templateError(name, err)
		}
	}
	return t, nil
}

var (
	noField  = regexp.MustCompile(`executing .* at <(.*)>: can't evaluate field (\w+) in type \S+`)
	atPlace  = regexp.MustCompile(`executing .* at <(.*)>: `)
	ourNames = regexp.MustCompile(`\*?paper\.(Letter\w*)`)
)

// templateError says where a template is wrong and which fields there are.
func templateError(name string, err error) error {
	text := strings.TrimPrefix(strings.TrimPrefix(err.Error(), "html/"), "template:")
	text = strings.TrimSpace(text)
	place, message := name, text
	if rest, ok := strings.CutPrefix(text, name+":"); ok {
		at, after, _ := strings.Cut(rest, ": ")
		place, message = name+":"+at, after
	}
	message = noField.ReplaceAllString(message, "{{$1}}: there is no field $2 here")
	message = atPlace.ReplaceAllString(message, "{{$1}}: ")
	message = ourNames.ReplaceAllString(message, "$1")
	return fmt.Errorf("%s: %s\n%s", place, message, FieldList())
}

// FieldList names the fields that a template of a letter has, for messages.
func FieldList() string {
	list := func(t reflect.Type) string {
		var names []string
		for i := range t.NumField() {
			names = append(names, "."+t.Field(i).Name)
		}
		return strings.Join(names, " ")
	}
	return "fields of the letter: " + list(reflect.TypeFor[Letter]()) +
		"\nof each sheet in .Corrections, .Verify and .Advice: " + list(reflect.TypeFor[LetterSheet]()) +
		"\nof each of its comments: " + list(reflect.TypeFor[LetterComment]()) +
		"\nfunctions: join LIST SEPARATOR, and those of the template language; see: plumbrule guide letter"
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
	t, err := ReadLetterTemplate(name, text)
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
