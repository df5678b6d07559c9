package site

// quarryLane is an invented installation that uses every section of a sheet.
const quarryLane = `sheet: tankhand/site/1
site: Quarry Lane glasshouse
asset: HT-2
drinking_water: no
tank:
  shape: vertical cylinder
  diameter: 1.10 m
  height: 1.60 m
  overflow: 1.55 m
  outlet: 5 cm
sensor:
  kind: sealed single
  face_height: 1.75 m ± 5 mm (measured)
  blanking: 0.25 m (label)
  range: 4.5 m
  beam_half_angle: 15 deg
  wall_distance: 0.40 m
  ping_interval: 100 ms
  supply_voltage: 5 V
  assumed_speed: 343 m/s
  air_temperature: 24 degC
  air_humidity: 90 %
marks:
  full: 0.35 m
  empty: 1.70 m
  low_set: 40 %
  full_set: 95 %
controller:
  control: auto
  logic_voltage: 3.3 V
  confirm: 3
  min_off: 60 s
  on_lost_echo: holds
  mains_in_box: yes
  feed_powers_board: unknown
pump: {healthy_flow: 2.3 m3/h, rated_flow: 2.4 m3/h, motor_power: 0.37 kW, motor_voltage: 230 V, phases: 1, motor_poles: 2,
       running_current: 2.8 A, capacitor: 12 uF, suction_lift: 2 m, dry_guard: none}
relay: {coil_voltage: 5 V, coil_resistance: 70 ohm, contact_current: 10 A, pin_voltage: 3.3 V, base_resistor: 390 ohm,
        transistor_gain: 110, diode: fitted, active: high, drives: motor}
supply: {voltage: 5 V, cable_length: 6 m, cable_area: 0.5 mm2, board_current: 0.24 A, brown_out: 4.3 V}
echo_line: {high: 5 V, top_resistor: 1 kohm, bottom_resistor: 2 kohm, input_limit: 3.6 V}
buttons: {pull_up: 10 kohm, internal_pull_up: no}
dialect: workshop-board
limits: {echo-dropouts.some: 3 %}
`
