package sheet_test

import (
	"fmt"

	"example.org/tankhand/livelevel/sheet"
)

func Example() {
	doc, err := sheet.Parse("pump.yaml", []byte(`titel: Feed pump
id: 012
usual: [0.5, 0.3, x]
id: 013
rows: {seal-worn: [0.1, 0.9], shaft-bent: [0.3, 0.7]}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	m := doc.Map()
	m.Need("title")
	m.Text("title")
	fmt.Println("id is", m.Text("id"))
	m.Floats("usual")
	for _, e := range m.Map("rows").Entries() {
		fmt.Println(e.Key, e.Value.Floats())
	}
	m.Done()
	fmt.Println(doc.Err())
	// Output:
	// id is 012
	// seal-worn [0.1 0.9]
	// shaft-bent [0.3 0.7]
	// pump.yaml:1:1: "title" is missing here
	//     titel: Feed pump
	//     ^
	// pump.yaml:1:1: unknown key "titel" (did you mean title?)
	//     titel: Feed pump
	//     ^
	// pump.yaml:3:19: a number is needed here, not "x"
	//     usual: [0.5, 0.3, x]
	//                       ^
	// pump.yaml:4:1: key "id" is given twice: it already stands in line 2; keep one of them
	//     id: 013
	//     ^
}
