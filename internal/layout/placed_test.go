package layout

import "fmt"

// NewPlaced makes an array from modules given one by one; Rows, Columns,
// RowShift and Omit of the pattern are not used, the gaps are the nominal ones.
func (p Pattern) NewPlaced(modules []Placed) (*Array, error) {
	if err := p.validModule(); err != nil {
		return nil, fmt.Errorf("array %s: %w", p.Name, err)
	}
	return p.place(modules)
}
