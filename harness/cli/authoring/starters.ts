import { consoleLink } from '../../workflow/project/starter-links.ts';
import type { FileKind } from './file-kinds.ts';

/** Commented files to begin with, without the line that names their schema. `NAME` is put in; each is read without issues by a test. */
export const starters: Readonly<Record<FileKind, string>> = {
  spec: `# One claim about the light. The language: specs/README.md. To try it: evenfall check FILE; evenfall explain FILE
spec: NAME
claim: A fade follows the curve for the time asked for. # one sentence that a customer could read
# traces: [REQ-1]                                      # requirement ids
tags: [nightly]                                        # commit, nightly, release, flashing

conditions:                                            # every combination is run; $name puts a value in
  fade-time: [0.7 s, 2 s]

stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 500 ms                                       # steady light before the fade
  - fade: { level: 1 %, over: $fade-time }
  - hold: 500 ms                                       # and after it

capture:
  - { signal: channel-current, of: each-channel, rate: 10 kHz }

criteria:                                              # evenfall check --metrics lists the metrics
  # Say where each tolerance comes from: a standard and clause, or "common practice, no source".
  - { metric: fade-duration, of: each-channel, target: $fade-time, tolerance: ± 5 % }
  # Four steps of the logarithmic curve, 2.77 % each (IEC 62386-102, computed): a fade that is cut short keeps no shape.
  - { metric: curve-deviation, of: each-channel, at-most: 11 % }
`,
  lamp: `lamp: NAME
maker: Halden Display Lighting
about: One line for people

channels:                       # in the order of the console's intensities and of the DMX slots
  warm: { light: 400 lm, xy: [0.4578, 0.4101], current: 350 mA, forward-voltage: 33 V }
  cool: { light: 430 lm, xy: [0.3123, 0.3283], current: 350 mA, forward-voltage: 33 V }

curve: { kind: logarithmic, bottom: 0.1 % }             # or linear

mixes:                          # names that specs may use; a channel that is not named is dark
  neutral: { warm: 62 %, cool: 55 % }

modulation: { kind: pulse-density, bits: 16, clock: 20 MHz }   # or pwm (bits, frequency), analogue (bits)
stage: { kind: linear, rise-time: 8 ns, fall-time: 8 ns }      # or fixed-off-time
supply: { kind: dc, nominal: 48 V, low: 44 V, high: 52 V }     # or mains

links:
${consoleLink}  # dali: { short-address: 5 }
  # dmx: { first-slot: 1, bits: 16, on-loss: hold }
  # sacn: { universe: 7, first-slot: 1, bits: 16, on-loss: hold }

start-up: 300 ms

# What it keeps before anybody has told it anything; power-on and system-failure may be levels as well.
as-delivered: { level: 0 %, mix: all, power-on: last, system-failure: hold }
`,
  rig: `# Before a rig is used: bright light and blue-light hazard (IEC 62471); flashing light at 3 to 70 Hz can bring on
# seizures; drivers may be at mains potential; heat. Local codes and licensed practice come first.
rig: NAME
about: One line for people
place: Organisation, site, room                         # printed in reports

instruments:
  scope:
    driver: scpi                                        # or console, dali, dmx, sacn, webpage, camera, program, ...
    profile: scope.profile.yaml                         # keys beside the known ones are the driver's own
    address: tcp://192.0.2.7:5025                       # the profile says what is sent: drivers/scpi/PROFILES.md
    # identity: { serial: "1042" }                      # anything else is refused
    calibration: { date: 2026-01-31, due: 2027-01-31, certificate: C-0001, time-base: 2 ppm }
    highest-rate: 1 MS/s                                # preflight reads these four
    longest-record: 60 s                                # or memory: 10000000, samples per input
    one-record: true                                    # it cannot take two records at a time
    acquisition: integrating                            # or point: samples an instant, may alias
    deadline: 30 s
  port: { driver: console, address: /dev/ttyUSB0 }

wiring:                         # value = (volts - offset) * scale; standard uncertainties for k = 1
  - signal: light
    of: all
    instrument: scope
    input: ch1
    scale: 1000 lx/V
    standard-scale: 0.5 %
    standard-offset: 10 mlx
    noise: 50 mlx
    bandwidth: 200 kHz
    bits: 16
    full-scale: 5 klx
  - signal: channel-current
    of: each                    # one input per channel in their order; fewer inputs are used in turn
    instrument: scope
    inputs: [ch2]
    scale: 0.2 A/V
    standard-scale: 0.1 %
    standard-offset: 2 µA
    noise: 20 µA
    bandwidth: 500 kHz
    bits: 16
    full-scale: 1 A

links: { console: port }
safe: { lamp: off, supply: leave, within: 10 s }
decision: { rule: guarded, coverage-factor: 2 }
calibration-policy: warn        # or refuse
warm-up: 20 min
ambient: 23 °C
`,
  policy: `# Who may release what. Keep this file under review: its SHA-256 goes into every release statement that is signed under it.
# Days begin at 00:00 UTC. What is not said below is refused: simulated rigs, deviations, waivers.
policy: NAME
version: 1                              # raise it with every change
valid-from: 2026-01-01
expires: 2027-01-01                     # from that day on nobody signs under this version
# earlier: []                           # SHA-256 of versions before this one: what was signed under them still counts

people:
  - name: A. Tester                     # as it stands in reports
    roles: [test]
    # lamps: [Alcove-6]                 # absent: every lamp
    keys:                               # evenfall keys new --out tester.pem prints file and id
      - file: tester.pub.pem
        id: "0000000000000000000000000000000000000000000000000000000000000000"
        valid-from: 2026-01-01
        expires: 2028-01-01
        # revoked: 2026-06-01           # no longer used: what was signed before still counts
        # compromised: 2026-05-20       # may have been copied: only what was provably signed before counts
  - name: B. Reviewer
    roles: [quality]
    keys:
      - file: reviewer.pub.pem
        id: "1111111111111111111111111111111111111111111111111111111111111111"
        valid-from: 2026-01-01
        expires: 2028-01-01

release:
  signatures: { test: 1, quality: 1 }   # different people, each in one role
  no-self-approval: true                # whoever operated the run (--operator) does not release it
  passed:                               # not run will not do
    requirements: [LUM-001]             # ids of specs/requirements.csv, traced by claims that passed
    # claims: [dims-to-a-thousandth]    # or { claim: ID, digest: SHA-256 of its spec file }
    # tags: { release: 40 }             # at least so many claims with the tag, all passed
  rig:
    simulated: refuse
    # names: [bench-3]
    # instruments: [D16-1042]           # serial numbers of those that record
  lamp:
    reported: [firmware, serial]        # by the lamp itself, on one of its links
    # builds: [4.2.0]
    # firmware: []                      # SHA-256 of firmware files
    # serials: [A6-0042]
  calibration: in-date                  # or any
  oldest-run: 30 d                      # from the end of the run to a release
  deviations: []                        # such as { kind: resumed, by: [quality] }
  waivers: []                           # such as { claim: ID, by: [quality], verdicts: [inconclusive] }
`,
};
