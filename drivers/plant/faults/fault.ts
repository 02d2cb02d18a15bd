import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { UnitSymbol } from '../../../harness/units/unit.ts';
import type { PlantModel } from '../model.ts';

/** A deliberate defect of the plant, to test the specs. One file each; `faults.ts` lists them. */
export interface Fault {
  /** Kebab-case, as `--fault` takes it. */
  readonly id: string;
  readonly title: string;
  /** What is wrong in the lamp and what one would see. */
  readonly about: string;
  readonly family:
    | 'arithmetic'
    | 'timing'
    | 'modulation'
    | 'low end'
    | 'colour'
    | 'current'
    | 'links'
    | 'gear'
    | 'thermal'
    | 'supply';
  readonly size: {
    readonly nominal: number;
    /** SI unit of the size; `1` for ratios and counts. */
    readonly unit: UnitSymbol;
    readonly about: string;
  };
  /** From barely there to gross; the nominal size is one of them. */
  readonly sizes: readonly number[];
  /** Ids of the specs that have to catch it at its nominal size. */
  readonly caughtBy: readonly string[];
  /** What the lamp must have for the defect to exist at all. */
  readonly needs?: {
    readonly channels?: number;
    readonly links?: readonly string[];
    readonly 'on-loss'?: 'hold' | 'off';
    readonly 'slot-bits'?: 8 | 16;
    readonly supply?: 'dc' | 'mains';
    readonly stage?: 'linear' | 'fixed-off-time';
    readonly modulation?: 'pulse-density' | 'pwm' | 'analogue';
    readonly 'tunable-white'?: true;
    readonly primaries?: true;
    readonly rdm?: true;
    readonly banks?: readonly number[];
  };
  /** Changes a model that is this fault's to change. `size` in the fault's unit. */
  apply(model: PlantModel, size: number, lamp: Lamp): void;
}
