package ask

import (
	"context"
	"errors"
	"io"
	"strings"

	tea "charm.land/bubbletea/v2"
	"charm.land/huh/v2"
	"charm.land/lipgloss/v2"

	"plumbrule/internal/draft"
	"plumbrule/internal/wording"
)

// screen asks on a terminal that is drawn anew, a question at a time.
func (v *interview) screen(ctx context.Context, in io.Reader, out io.Writer) error {
	s := &screen{interview: v}
	if s.next(); s.ended {
		return s.err
	}
	_, err := tea.NewProgram(s, tea.WithContext(ctx), tea.WithInput(in), tea.WithOutput(out)).Run()
	switch {
	case errors.Is(err, tea.ErrInterrupted), errors.Is(err, tea.ErrProgramKilled) && ctx.Err() != nil:
		return ErrInterrupted
	case err != nil:
		return err
	}
	return s.err
}

// screen is the interview as a program of the terminal library.
type screen struct {
	*interview
	form          *huh.Form // with the question
	text          string    // the answer while it is typed
	first         bool      // whether to say that there is no question before
	width, height int       // of the terminal; 0 until it is told
	ended         bool
	err           error
}

// frame is how many lines stand around a form: heading, keys and blank lines.
const frame = 7

// widest is how wide the lines are drawn at most.
const widest = 96

// next makes the form of the question, or ends.
func (s *screen) next() tea.Cmd {
	end, err := s.done()
	if end || err != nil {
		s.ended, s.err = true, err
		return tea.Quit
	}
	s.first = false
	s.text = s.answers[s.question().Name]
	return s.draw()
}

// draw makes the form of the question as it fits the terminal, with the answer so
// far.
func (s *screen) draw() tea.Cmd {
	q := s.question()
	lines := strings.Split(lipgloss.Wrap(strings.Join(s.about(), "\n"), s.columns()-1, ""), "\n")
	if s.height > 0 { // what the answer is typed into stands below and has to be seen
		lines = lines[:min(len(lines), max(s.height-frame-least(q), 0))]
	}
	about := strings.Join(lines, "\n")
	var field huh.Field
	if len(q.Words) > 0 {
		var options []huh.Option[string]
		for _, o := range s.optionsOf() {
			options = append(options, huh.NewOption(o.text, o.value))
		}
		field = huh.NewSelect[string]().Title(q.Asks).Description(about).Options(options...).Value(&s.text).Validate(s.fault)
	} else {
		field = huh.NewInput().Title(q.Asks).Description(about).Placeholder(q.Default).CharLimit(draft.Longest).Value(&s.text).Validate(s.fault)
	}
	keys := huh.NewDefaultKeyMap()
	keys.Select.Filter.SetKeys() // the lists are short
	s.form = huh.NewForm(huh.NewGroup(field)).WithKeyMap(keys).WithAccessible(false).WithShowHelp(false).WithTheme(huh.ThemeFunc(theme))
	s.form.WithWidth(s.columns())
	if s.height > 0 {
		s.form.Update(tea.WindowSizeMsg{Width: s.width, Height: max(s.height-frame, 1)})
	}
	return s.form.Init()
}

// least is how many lines a form has at least: the title, and what the question
// is answered with.
func least(q *draft.Question) int { return 2 + min(len(q.Words), 3) }

// columns is how wide lines are drawn.
func (s *screen) columns() int {
	if s.width > 0 {
		return min(s.width, widest)
	}
	return widest
}

// Init begins with the question that is asked first.
func (s *screen) Init() tea.Cmd { return s.form.Init() }

// Update takes a key, or news of the terminal. What a form is not about goes to
// the form.
func (s *screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch m := msg.(type) {
	case tea.WindowSizeMsg:
		if s.width == m.Width && s.height == m.Height { // which every form asks for
			return s, nil
		}
		s.width, s.height = m.Width, m.Height
		return s, s.draw()
	case tea.KeyPressMsg:
		switch m.String() {
		case "ctrl+c", "ctrl+d":
			s.ended, s.err = true, ErrInterrupted
			return s, tea.Quit
		case "shift+tab":
			if s.back() {
				return s, s.next()
			}
			s.first = true
			return s, nil
		}
	}
	_, cmd := s.form.Update(msg)
	if key, ok := msg.(tea.KeyPressMsg); !ok || key.String() != "enter" || len(s.form.Errors()) > 0 {
		return s, cmd
	}
	// The form has taken the answer; it would say so only after the keys that
	// follow at once.
	if err := s.answer(s.text); err != nil {
		s.ended, s.err = true, err
		return s, tea.Quit
	}
	return s, s.next()
}

// View draws the question with its section above and the keys below.
func (s *screen) View() tea.View {
	if s.ended {
		return tea.NewView("")
	}
	wrapped := func(style lipgloss.Style, text string) string { return style.Width(s.columns()).Render(text) }
	parts := []string{wrapped(heading, s.heading())}
	for _, f := range s.faults {
		parts = append(parts, wrapped(warning, wording.Plain(f.Text())))
	}
	parts = append(parts, "", s.form.View(), "")
	keys := "Enter: next   Shift+Tab: back   Ctrl+C: stop, the answers so far are kept"
	if len(s.question().Words) > 0 {
		keys = "Up, Down: choose   " + keys
	}
	if s.first {
		keys = "This is the first question.   " + keys
	}
	return tea.NewView(strings.Join(append(parts, wrapped(quiet, keys)), "\n"))
}

// The colours are those of the reports, which can be read on light and dark.
var (
	slate, brick, grey = lipgloss.Color("67"), lipgloss.Color("167"), lipgloss.Color("245")

	heading = lipgloss.NewStyle().Bold(true).Foreground(slate)
	warning = lipgloss.NewStyle().Foreground(brick)
	quiet   = lipgloss.NewStyle().Foreground(grey)
)

// theme is how a form is drawn.
func theme(dark bool) *huh.Styles {
	t := huh.ThemeBase(dark)
	for _, f := range []*huh.FieldStyles{&t.Focused, &t.Blurred} {
		f.Base = lipgloss.NewStyle()
		f.Title = lipgloss.NewStyle().Bold(true)
		f.Description = quiet
		f.ErrorIndicator = lipgloss.NewStyle()
		f.ErrorMessage = warning
		f.SelectSelector = lipgloss.NewStyle().Foreground(slate).SetString("> ")
		f.SelectedOption = lipgloss.NewStyle().Foreground(slate)
		f.TextInput.Prompt = lipgloss.NewStyle().Foreground(slate)
		f.TextInput.Placeholder = quiet
	}
	return t
}

// bare is a theme without any drawing, for plain lines.
func bare() huh.Theme { return huh.ThemeFunc(func(bool) *huh.Styles { return &huh.Styles{} }) }
