import { z } from 'zod';
import { presentEpisode } from '../../app/present.ts';
import { AlertHealth, AlertList, AlertMute, Episode } from '../../contract/index.ts';
import { HttpProblem } from '../problems.ts';
import { PROBLEM_ANSWERS, type Routes } from './route.ts';

const Params = z.object({ id: z.string().min(1).max(400) });
const Query = z.object({ open: z.enum(['true', 'false']).default('false').describe('Only those that are not over') });
/** How many of the newest episodes are listed. */
const LISTED = 200;
const HOUR_MS = 3600_000;

export const alertRoutes: Routes = (api, { desk, alertHealth, channels, heartbeat, nowMs }) => {
  const answer = { 200: Episode, ...PROBLEM_ANSWERS };
  const shown = (episode: Parameters<typeof presentEpisode>[0] | null, id: string) => {
    if (episode === null) throw new HttpProblem('alert-unknown', `There is no alert ${id}.`);
    return presentEpisode(episode);
  };
  api.get(
    '/alerts',
    { schema: { querystring: Query, response: { 200: AlertList, ...PROBLEM_ANSWERS } } },
    (request) => ({
      alerts: (request.query.open === 'true' ? desk.open() : desk.recent(LISTED)).map(presentEpisode),
    }),
  );
  api.get('/alerts/health', { schema: { response: { 200: AlertHealth, ...PROBLEM_ANSWERS } } }, () => ({
    ...alertHealth(),
    people: channels.delivered(),
    heartbeat: heartbeat(),
  }));
  api.post('/alerts/:id/acknowledgement', { schema: { params: Params, response: answer } }, (request) =>
    shown(desk.acknowledge(request.params.id, nowMs()), request.params.id),
  );
  api.post('/alerts/:id/mute', { schema: { params: Params, body: AlertMute, response: answer } }, (request) =>
    shown(
      desk.mute(request.params.id, nowMs() + request.body.hours * HOUR_MS, request.body.because ?? null),
      request.params.id,
    ),
  );
  api.delete('/alerts/:id/mute', { schema: { params: Params, response: answer } }, (request) =>
    shown(desk.mute(request.params.id, null), request.params.id),
  );
};
