import type { CallSettings } from './plan.ts'

/**
 * Defaults of windows.md §5.
 * reaction 0.75 s: an expected signal (Green, Transportation Human Factors 2(3), 2000); preparation 0.5 s and before 10 s: from memory;
 * waiting 3 besides the call being said: Cowan's 4 (BBS 24, 2001); ahead 8 s: Wan, Wu & Zhang 2016, read softly;
 * lead 2 s: one call or so in hand (common practice, no source); gap 0.12 s: calibrated, windows.md §6.
 */
export const DEFAULT_CALL_SETTINGS: CallSettings = {
  reaction: 0.75,
  preparation: 0.5,
  waiting: 3,
  ahead: 8,
  lead: 2,
  gap: 0.12,
  before: 10,
  deadlines: 'role',
}

/** Up to this, lateness is shown as "tight": word ends move by ±10 ms a run and act-by by ±0.06 s with the step (windows.md §5). */
export const TIGHT = 0.2
