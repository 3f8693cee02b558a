// Package loads is the vocabulary of the structure: wind, snow, weight and
// earthquake on each foot, and what its fasteners and the framing carry. Package
// structural computes it.
package loads
