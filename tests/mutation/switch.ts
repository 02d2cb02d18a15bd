/** What the instrumented code asks to learn which change is active, and where it counts what each test passes through. */
interface Switch {
  activeMutant: string | undefined;
  currentTestId: string | undefined;
  mutantCoverage: {
    readonly static: Record<string, number>;
    readonly perTest: Record<string, Record<string, number>>;
  };
  /** Nothing is counted meanwhile. */
  idle: boolean;
  hitCount: number | undefined;
  hitLimit: number;
  /** Another at each change: what was remembered before it has to be forgotten. */
  turn: number;
}

/** The name that the instrumenter gives it. */
const place = globalThis as { __stryker__?: Switch };

export function theSwitch(): Switch {
  return (place.__stryker__ ??= {
    activeMutant: undefined,
    currentTestId: undefined,
    mutantCoverage: { static: {}, perTest: {} },
    idle: false,
    hitCount: undefined,
    hitLimit: 0,
    turn: 0,
  });
}
