package calculator

// electricalCalculators declares the desk calculators of the electrical code.
func electricalCalculators() []*Calculator { return nil }
