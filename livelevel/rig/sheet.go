package rig

import (
	"fmt"
	"strings"
)

// SheetText is the site sheet of the rig's installation, as a technician would find it: as recorded when it was
// set up. What was so from the start, settings and overflow, stands in it; what went wrong later does not.
func (i *Installation) SheetText() string {
	c := i.record()
	var b strings.Builder
	fmt.Fprintf(&b, sheetHead, i.tank.shape)
	for _, l := range i.tank.sheet {
		fmt.Fprintf(&b, "  %s\n", l)
	}
	fmt.Fprintf(&b, sheetBody, c.overflow, c.outlet, faceHeight, blankingDist, sensorRange, c.full, c.empty, c.low, c.fullSet)
	return b.String()
}

// recorded are the causes that are settings or sizes from the day the sheet was written.
var recorded = map[string]bool{"hyst-small": true, "band-too-small-for-flow": true, "low-above-full": true, "full-in-blanking": true,
	"full-above-overflow": true, "low-set-unreachable": true}

const sheetHead = `# The practice rig's installation; site, figures and people are invented.
sheet: tankhand/site/1
site: Quarry Lane glasshouse
asset: HT-2
drinking_water: no
tank:
  shape: %s
`

const sheetBody = `  overflow: %.2f m
  outlet: %.2f m
sensor:
  kind: sealed single
  face_height: %.2f m
  blanking: %.2f m
  range: %.1f m
  beam_half_angle: 15 deg
  wall_distance: 0.52 m
  ping_interval: 100 ms
  supply_voltage: 5 V
  air_temperature: 24 degC
  air_humidity: 90 %%
marks:
  full: %.2f m
  empty: %.2f m
  low_set: %.4g %%
  full_set: %.4g %%
controller:
  control: auto
  logic_voltage: 3.3 V
  confirm: 3
  min_off: 0 s
  min_on: 0 s
  on_lost_echo: holds
  mains_in_box: yes
  feed_powers_board: no
pump: {healthy_flow: 2.3 m3/h, rated_flow: 2.4 m3/h, motor_power: 0.37 kW, motor_voltage: 230 V, phases: 1, motor_poles: 2,
       running_current: 2.8 A, capacitor: 12 uF, suction_lift: 2 m, dry_guard: current}
relay: {coil_voltage: 5 V, coil_resistance: 70 ohm, contact_current: 10 A, pin_voltage: 3.3 V, base_resistor: 390 ohm,
        transistor_gain: 110, diode: fitted, active: high, drives: motor}
supply: {voltage: 5 V, cable_length: 6 m, cable_area: 0.5 mm2, board_current: 0.24 A, brown_out: 4.3 V}
echo_line: {high: 5 V, top_resistor: 1 kohm, bottom_resistor: 2 kohm, input_limit: 3.6 V}
buttons: {pull_up: 10 kohm, internal_pull_up: no}
`
