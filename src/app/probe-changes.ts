import type { ProbeSetting, Probe as ProbeShown } from '../contract/index.ts';
import { freshnessOf } from '../domain/keg-inputs.ts';
import { calibrated, defaultProbeFromId, type Probe } from '../domain/probe.ts';
import { usualIntervalMs } from '../domain/probe-health.ts';
import { QUANTITY_RULES } from '../domain/quantity.ts';
import { parseSubjectPath, subjectPath } from '../domain/topic.ts';
import { dimensionOf } from '../physics/units.ts';
import type { Clock } from '../ports/clock.ts';
import type { Devices } from './devices.ts';
import { full } from './limits.ts';
import type { LiveProbes } from './live-probes.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import { instant, instantOrNull, presentAmiss } from './present.ts';
import type { Register } from './register.ts';

/** Which probes there are, and changes of how they are read. */
export class ProbeChanges {
  readonly #register: Register;
  readonly #probes: LiveProbes;
  readonly #devices: Devices;
  readonly #clock: Clock;

  constructor(register: Register, probes: LiveProbes, devices: Devices, clock: Clock) {
    this.#devices = devices;
    this.#register = register;
    this.#probes = probes;
    this.#clock = clock;
  }

  /** Every probe that was heard or mapped, by what it belongs to. */
  list(): ProbeShown[] {
    const byId = new Map(this.#register.probes().map((probe) => [probe.probeId, probe]));
    for (const { probe } of this.#probes.all()) byId.set(probe.probeId, probe);
    const shown = [...byId.values()].map((probe) => this.#show(probe));
    return shown.toSorted((a, b) => a.of.localeCompare(b.of) || a.quantity.localeCompare(b.quantity));
  }

  put(probeId: string, setting: ProbeSetting): Outcome<ProbeShown> {
    const subject = parseSubjectPath(setting.of);
    const rule = QUANTITY_RULES[setting.quantity];
    if (subject === null || subject.kind !== rule.subject) {
      return refuse('body-invalid', `of: ${setting.quantity} is measured of a ${rule.subject}; ${setting.of} is none`);
    }
    if (setting.unit !== null && dimensionOf(setting.unit) !== rule.dimension) {
      return refuse(
        'body-invalid',
        `unit: ${setting.quantity} is a ${rule.dimension}; ${setting.unit} is no unit of it`,
      );
    }
    const implied = defaultProbeFromId(probeId);
    if (implied !== null && (implied.quantity !== setting.quantity || subjectPath(implied.subject) !== setting.of)) {
      return refuse(
        'probe-conflict',
        `The id ${probeId} stands for ${implied.quantity} of ${subjectPath(implied.subject)}.`,
      );
    }
    const other = this.#register.probes().find((probe) => {
      return probe.probeId !== probeId && probe.topic === setting.topic && probe.pointer === setting.pointer;
    });
    if (other !== undefined)
      return refuse('probe-conflict', `The probe ${other.probeId} reads this value of ${setting.topic} already.`);
    const all = this.#register.probes();
    const isNew = all.every((known) => known.probeId !== probeId);
    const tooMany = isNew ? full('probes', all.length, 'probes') : null;
    if (tooMany !== null) return tooMany;
    const { of: _of, calibration, ...rest } = setting;
    const probe: Probe = {
      ...rest,
      probeId,
      subject,
      calibration: calibration
        .map(({ from, offset, gain }) => ({ fromMs: Date.parse(from), offset, gain }))
        .toSorted((a, b) => a.fromMs - b.fromMs),
    };
    this.#register.change('probes', (catalogue) => catalogue.saveProbe(probe));
    return done(this.#show(probe));
  }

  /** Forgets a mapping. A probe of a default topic is back at its defaults; readings stay. */
  delete(probeId: string): Outcome<null> {
    const mapped = this.#register.probes().some((probe) => probe.probeId === probeId);
    if (!mapped && this.#probes.get(probeId) === null) return refuse('probe-unknown', `There is no probe ${probeId}.`);
    this.#probes.forget(probeId);
    this.#register.change('probes', (catalogue) => catalogue.removeProbe(probeId));
    return done(null);
  }

  #doubted(probe: Probe): ProbeShown['doubted'] {
    const point = this.#probes.get(probe.probeId)?.believed.doubted.at(-1);
    return point === undefined ? null : { value: calibrated(probe, point.value, point.atMs), at: instant(point.atMs) };
  }

  #show(probe: Probe): ProbeShown {
    const heard = this.#probes.get(probe.probeId);
    const atMs = heard?.rhythm.lastMeasuredAtMs ?? null;
    const ageMs = atMs === null ? null : Math.max(0, Math.round(this.#clock.nowMs() - atMs));
    const { subject, calibration, availability, ...rest } = probe;
    return {
      ...rest,
      of: subjectPath(subject),
      availability: availability === null ? null : { ...availability },
      unit: probe.unit as ProbeShown['unit'],
      calibration: calibration.map(({ fromMs, offset, gain }) => ({ from: instant(fromMs), offset, gain })),
      lastHeardAt: instantOrNull(atMs),
      lastValue: heard === null || atMs === null ? null : calibrated(probe, heard.value, atMs),
      lastUnit: QUANTITY_RULES[probe.quantity].unit,
      state: heard === null ? 'stale' : freshnessOf(heard, this.#clock.nowMs()),
      ageMs,
      usualIntervalMs: heard === null ? null : usualIntervalMs(heard.rhythm),
      device: this.#devices.stateOf(probe),
      amiss: presentAmiss(heard?.amiss ?? null),
      doubted: this.#doubted(probe),
    };
  }
}
