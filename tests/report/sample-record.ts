// The sample run in parts, under the names that tests ask for.
export { condition } from './sample-record/condition.ts';
export { finding } from './sample-record/finding.ts';
export { hostile, hostileRecord } from './sample-record/hostile-record.ts';
export { channels } from './sample-record/lamp-channels.ts';
export { noise } from './sample-record/noise.ts';
export { recordOf } from './sample-record/record-of.ts';
export { sampleRecord, shortRecord } from './sample-record/run-of-every-verdict.ts';
export { sampleTraces } from './sample-record/sample-traces.ts';
export { spec } from './sample-record/spec.ts';
