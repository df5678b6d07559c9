package site

// Template is a commented sheet to be filled in, which Parse accepts as it stands. Lines that begin
// with # are what may be added.
const Template = `# Site sheet. Write what you know; leave out, or call unknown, what you do not.
# Quantities carry their unit: 1.75 m, 69 in, 2.3 m3/h, 10 gpm, 24 degC, 75 degF, 390 ohm.
# How far off one may be: 1.75 m ± 5 mm. How it was got: 1.75 m (measured), (label) or (assumed).
# Without ±, a height counts as ± 5 mm, a size of the tank as ± 1 %, a value of a data sheet as ± 10 %,
# a beam angle as ± 20 %, an air temperature as ± 2 K and a humidity as ± 10 %; marks count as exact.
sheet: tankhand/site/1
site: ""                     # name of the site
asset: ""                    # number of this installation
drinking_water: unknown      # yes, no

tank:
  shape: vertical cylinder   # box, vertical cylinder, horizontal cylinder, sphere, cone bottom, dished bottom, table
  diameter: unknown          # inside; a box has length and width instead
  height: unknown            # inside, from the lowest point; not for horizontal cylinder, sphere and table
  # length: 3.00 m           # of a box, or the straight part of a horizontal cylinder
  # width: 1.50 m            # of a box
  # heads: ellipsoidal       # of a horizontal cylinder: flat, ellipsoidal (2:1), torispherical, hemispherical, spherical cap
  # head_depth: 30 cm        # of one spherical cap, or an ellipsoidal head that is not 2:1
  # cone_height: 0.50 m      # of a cone bottom
  # bottom_depth: 30 cm      # of a dished bottom
  # rows: [[0 m, 0 l], [0.10 m, 45 l], [1.50 m, 931 l]]   # strapping table: level, volume
  # overflow: 1.55 m         # height above the tank's bottom
  # outlet: 5 cm             # likewise

sensor:
  kind: unknown              # open pair (two open cans), sealed single (one waterproof): gives usual values for the rest
  face_height: unknown       # transducer face above the tank's bottom: measure this one with a tape
  # blanking: 0.25 m         # nothing nearer than this is measured
  # range: 4.5 m
  # beam_half_angle: 15 deg  # data sheets give the half or the full angle: ask which
  # wall_distance: 0.40 m    # from the beam's axis to the nearest wall, ladder or pipe
  # ping_interval: 100 ms
  # supply_voltage: 5 V
  # assumed_speed: 343 m/s   # the speed of sound that the firmware divides by; leave out if it measures the temperature
  # air_temperature: 24 degC # in the tank, when the feed does not carry it
  # air_humidity: 90 %
  # tilt: 0 deg              # of the sensor from straight down

marks:                       # what the controller was taught, as distance from the sensor's face
  # full: 0.35 m
  # empty: 1.70 m
  # low_set: 40 %            # the pump starts below this: a percentage between empty and full, or a distance
  # full_set: 95 %           # the pump stops at this

controller:
  # control: auto            # auto, manual
  # logic_voltage: 3.3 V
  # confirm: 3               # readings before it acts
  # min_off: 60 s            # rest that it gives the pump
  # min_on: 0 s
  # restart_delay: 0 s       # wait after power comes back
  # on_lost_echo: unknown    # holds, stops, starts
  # mains_in_box: yes        # left out counts as yes: opening the lid is then work near mains
  # feed_powers_board: no    # does the lead to this computer power the board?

pump:
  # healthy_flow: 2.3 m3/h   # what it brought into this tank when it was well
  # rated_flow: 2.4 m3/h     # of the plate
  # motor_power: 0.37 kW
  # motor_voltage: 230 V
  # phases: 1
  # motor_poles: 2
  # running_current: 2.8 A
  # capacitor: 12 uF
  # suction_lift: 2 m
  # dry_guard: none          # none, level, float, flow, current

relay:
  # coil_voltage: 5 V
  # coil_resistance: 70 ohm
  # contact_current: 10 A
  # pin_voltage: 3.3 V       # of the output that drives the transistor
  # base_resistor: 390 ohm
  # transistor_gain: 110
  # diode: fitted            # fitted, missing
  # active: high             # high, low
  # drives: motor            # motor, contactor

supply:
  # voltage: 5 V
  # cable_length: 6 m        # one way
  # cable_area: 0.5 mm2      # or 20 AWG
  # board_current: 0.24 A
  # brown_out: 4.3 V         # below this the board restarts

echo_line:                   # from the sensor's echo to the board's input
  # high: 5 V
  # top_resistor: 1 kohm
  # bottom_resistor: 2 kohm
  # input_limit: 3.6 V

buttons:
  # pull_up: 10 kohm
  # internal_pull_up: no

# dialect: workshop-board    # how the feed is read; written here once it was learned
# limits: {echo-dropouts.some: 3 %}   # a firm's own limits for a check's grades
`
