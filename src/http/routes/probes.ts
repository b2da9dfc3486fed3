import { z } from 'zod';
import { instant } from '../../app/present.ts';
import { Probe, ProbeId, ProbeList, ProbeSetting, RejectionList } from '../../contract/index.ts';
import { granted } from '../problems.ts';
import { NO_CONTENT, PROBLEM_ANSWERS, type Routes } from './route.ts';

const Params = z.object({ probeId: ProbeId });

/** Probes, topics that no probe reads, and what was refused. */
export const probeRoutes: Routes = (api, { register, probeChanges, listening, devices, desk, nowMs }) => {
  api.get('/probes', { schema: { response: { 200: ProbeList, ...PROBLEM_ANSWERS } } }, () => ({
    probes: probeChanges.list(),
    heard: listening
      .heardTopics()
      .filter(({ topic }) => register.directory().forTopic(topic).length === 0 && !devices.isTheirs(topic))
      .map(({ lastHeardAtMs, ...heard }) => ({ ...heard, lastHeardAt: instant(lastHeardAtMs) })),
  }));
  api.put(
    '/probes/:probeId',
    { schema: { params: Params, body: ProbeSetting, response: { 200: Probe, ...PROBLEM_ANSWERS } } },
    (request) => granted(probeChanges.put(request.params.probeId, request.body)),
  );
  api.delete(
    '/probes/:probeId',
    { schema: { params: Params, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      const { probeId } = request.params;
      granted(probeChanges.delete(probeId));
      desk.endFor(probeId, nowMs());
      void reply.code(204);
      return null;
    },
  );
  api.get('/rejections', { schema: { response: { 200: RejectionList, ...PROBLEM_ANSWERS } } }, () => ({
    count: listening.rejectedCount(),
    rejections: listening.rejected().map(({ atMs, ...rejection }) => ({ ...rejection, at: instant(atMs) })),
  }));
};
