package wording

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
)

// Language puts the sentences of the program into the words and signs that the
// readers of a paper use: "−14 °F" and "≥" for all; in US units US spelling and
// inches in fractions of the tape. Keys and what the job itself says stay.
type Language struct {
	us  bool
	job []byte // the text of the job
}

// LanguageOf is the language of the papers of a review.
func LanguageOf(r *review.Review) *Language {
	l := &Language{us: r.System != quantity.SI}
	for _, f := range r.Job.Files {
		l.job = append(l.job, f.Text...)
	}
	return l
}

// american gives the US spelling of words that the program has in the other one.
var american = map[string]string{
	"licence": "license", "licences": "licenses", "utilisation": "utilization", "utilisations": "utilizations", "colour": "color", "colours": "colors",
	"centre": "center", "centres": "centers", "grey": "gray", "aluminium": "aluminum", "storey": "story", "storeys": "stories",
	"labelled": "labeled", "unlabelled": "unlabeled", "metre": "meter", "metres": "meters", "fibre": "fiber", "neighbour": "neighbor", "neighbours": "neighbors",
	"neighbouring": "neighboring", "galvanised": "galvanized", "recognised": "recognized", "catalogue": "catalog", "programme": "program", "favour": "favor",
	"labelling": "labeling", "levelling": "leveling", "levelled": "leveled", "energise": "energize", "energised": "energized", "energising": "energizing",
	"de-energised": "de-energized", "de-energise": "de-energize", "coloured": "colored", "millimetre": "millimeter", "millimetres": "millimeters", "storeyed": "storied",
	"recognise": "recognize", "organised": "organized", "normalised": "normalized", "ageing": "aging", "sulphur": "sulfur", "travelling": "traveling", "cancelled": "canceled",
	"behaviour": "behavior", "mould": "mold", "travelled": "traveled", "organisation": "organization", "authorised": "authorized", "judgement": "judgment",
}

var (
	degreeSign  = regexp.MustCompile(`(-?)(\d+(?:\.\d+)?) deg([FC])\b`)
	degreeAlone = regexp.MustCompile(`\bdeg([FC])\b`)
	decimalInch = regexp.MustCompile(`(^|[^\d.\w])(\d+)\.(\d+)( in)($|[^\w/0-9])`)
	spelled     = regexp.MustCompile(`[\w.-]*[A-Za-z]+[\w-]*`)
)

// Say puts a sentence of the program into the language of the paper.
func (l *Language) Say(text string) string {
	text = degreeSign.ReplaceAllStringFunc(text, func(m string) string {
		p := degreeSign.FindStringSubmatch(m)
		if p[1] != "" {
			p[1] = "−"
		}
		return p[1] + p[2] + " °" + p[3]
	})
	text = degreeAlone.ReplaceAllString(text, "°$1")
	if !l.us {
		return text
	}
	text = decimalInch.ReplaceAllStringFunc(text, func(m string) string {
		p := decimalInch.FindStringSubmatch(m)
		return p[1] + Inches(p[2]+"."+p[3]) + p[4] + p[5]
	})
	return spelled.ReplaceAllStringFunc(text, func(word string) string {
		to, ok := american[strings.ToLower(word)]
		switch {
		case !ok || l.jobSays(word):
			return word
		case word[0] >= 'A' && word[0] <= 'Z':
			return strings.ToUpper(to[:1]) + to[1:]
		}
		return to
	})
}

// thinnest is the thickness in inches below which metal is told by decimals, as
// the trade does, and not by the fractions of a tape.
const thinnest = 0.1

// OnTape writes the lengths in what is said of an outcome in sixteenths of an
// inch, so that a tape shows them: a measure to the side on which it is worse, its
// limit to the side on which it asks for more. Both stay apart where they are.
func (l *Language) OnTape(text string, o *review.Outcome) string {
	if !l.us {
		return text
	}
	return decimalInch.ReplaceAllStringFunc(text, func(m string) string {
		p := decimalInch.FindStringSubmatch(m)
		decimal := p[2] + "." + p[3]
		v, err := strconv.ParseFloat(decimal, 64)
		if err != nil || v < thinnest {
			return m
		}
		round := math.Round
		isLimit := o.Limit != nil && o.Limit.Text == decimal+p[4]
		switch {
		case o.LimitKind == codebook.AtLeast && !isLimit, o.LimitKind == codebook.AtMost && isLimit:
			round = func(v float64) float64 { return math.Floor(v + 1e-6) }
		case o.LimitKind == codebook.AtMost, o.LimitKind == codebook.AtLeast:
			round = func(v float64) float64 { return math.Ceil(v - 1e-6) }
		}
		return p[1] + Inches(strconv.FormatFloat(round(v*16)/16, 'f', -1, 64)) + p[4] + p[5]
	})
}

// SayAll is Say for a list.
func (l *Language) SayAll(list []string) []string { return Each(list, l.Say) }

// jobSays reports whether a text of the job has a word: a name is not spelled
// anew.
func (l *Language) jobSays(word string) bool {
	for rest := l.job; ; {
		i := bytes.Index(rest, []byte(word))
		if i < 0 {
			return false
		}
		line := rest[:i]
		if k := bytes.LastIndexByte(line, '\n'); k >= 0 {
			line = line[k:]
		}
		if bytes.Count(line, []byte{'"'})%2 == 1 {
			return true
		}
		rest = rest[i+len(word):]
	}
}

// Signs puts the words of a limit as signs, for a column of numbers: "≥ 36 in".
func Signs(limit string) string {
	for _, s := range [][2]string{{"at least ", "≥ "}, {"at most ", "≤ "}, {"equal to ", "= "}, {"more than ", "> "}, {"less than ", "< "}} {
		if rest, ok := strings.CutPrefix(limit, s[0]); ok {
			return s[1] + rest
		}
	}
	return limit
}

// vulgar are the fractions that have a sign of their own, in eighths.
var vulgar = [8]string{"", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"}

// Inches writes a decimal number of inches in fractions of a tape, down to 1/16,
// where it is one exactly; else as it is.
func Inches(decimal string) string {
	v, err := strconv.ParseFloat(decimal, 64)
	if err != nil || v*16 != math.Trunc(v*16) || v == math.Trunc(v) {
		return decimal
	}
	whole, sixteenths := int(v), int(v*16)%16
	text := ""
	if whole > 0 {
		text = strconv.Itoa(whole)
	}
	if sixteenths%2 == 0 {
		return text + vulgar[sixteenths/2]
	}
	return strings.TrimSpace(fmt.Sprintf("%s %d/16", text, sixteenths))
}
