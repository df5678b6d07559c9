// Command tankhand is the service technician's hand at the tank: live level, checks, guided fault
// finding and the record of the visit.
package main

import "fmt"

func main() { fmt.Println("tankhand") }
