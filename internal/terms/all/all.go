// Package all brings in every discipline's terms, so that the vocabulary is
// whole. A package of terms that is not listed here does not exist.
package all

import (
	_ "plumbrule/internal/terms/access"
	_ "plumbrule/internal/terms/arrays"
	_ "plumbrule/internal/terms/bonds"
	_ "plumbrule/internal/terms/circuits"
	_ "plumbrule/internal/terms/loads"
	_ "plumbrule/internal/terms/papers"
	_ "plumbrule/internal/terms/roofs"
	_ "plumbrule/internal/terms/survey"
)
