package diagnostics

import "example.org/tankhand/livelevel/site"

// Desk returns the findings of the desk checks of a sheet, in the contract's order.
func Desk(sheet *site.Sheet) []Finding { return nil }
