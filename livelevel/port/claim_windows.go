package port

// claim has nothing to do here: the system opens a serial port for one program only.
func claim(string, bool) (release func(), hasLines bool, err error) { return func() {}, true, nil }

func rightHint(string) string { return "close the program that has it, or ask the administrator" }

func groupOf(string) string { return "" }
