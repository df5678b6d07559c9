package command

import (
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"example.org/tankhand/livelevel/port"
)

func (p *Program) ports() *cobra.Command {
	return &cobra.Command{
		Use:   "ports",
		Short: "The serial ports found, with their USB names, and who may open them",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			all, err := port.List()
			if err != nil {
				return err
			}
			if len(all) == 0 {
				fmt.Fprintln(p.Out, "No serial port was found. Plug the board in, with a lead that has data wires, and look again.")
				return nil
			}
			w := tabwriter.NewWriter(p.Out, 0, 0, 2, ' ', 0)
			for _, l := range all {
				fmt.Fprintln(w, portLine(l))
			}
			if !port.NamesUSB() {
				fmt.Fprintln(w, "This system's USB names cannot be read here.")
			}
			return w.Flush()
		},
	}
}

// portLine is one port for a person; the USB words come from the device and are made safe.
func portLine(l port.Listed) string {
	may := "you may open it"
	if !l.May {
		may = "you may not open it" + groupAdvice(l.Group)
	}
	usb := "-"
	if l.USB != "" {
		usb = safe(l.USB + " " + l.Product + " " + l.Serial)
	}
	return l.Name + "\t" + usb + "\t" + may
}
