import { z } from 'zod';
import {
  BrowserEntry,
  ChannelList,
  ChannelsChange,
  ChannelTest,
  ChannelTestResult,
  Id,
  Person,
  PersonEntry,
  PersonList,
  PushKey,
} from '../../contract/index.ts';
import { granted } from '../problems.ts';
import { NO_CONTENT, PROBLEM_ANSWERS, type Routes } from './route.ts';

const Params = z.object({ id: Id });
const BrowserParams = z.object({ id: Id, subscriptionId: z.string().min(1).max(80) });
const Subscribed = z.object({ subscriptionId: z.string() });

/** Channels, people, and their browsers. */
export const channelRoutes: Routes = (api, { channels, acknowledgeLinks }) => {
  api.get('/channels', { schema: { response: { 200: ChannelList, ...PROBLEM_ANSWERS } } }, () => ({
    channels: channels.channels(),
  }));
  api.put(
    '/channels',
    { schema: { body: ChannelsChange, response: { 200: ChannelList, ...PROBLEM_ANSWERS } } },
    (request) => ({ channels: granted(channels.putChannels(request.body)) }),
  );
  api.post(
    '/channels/:id/test',
    { schema: { params: Params, body: ChannelTest, response: { 200: ChannelTestResult, ...PROBLEM_ANSWERS } } },
    async (request) => granted(await channels.test(request.params.id, request.body)),
  );
  api.post(
    '/acknowledge-links/renewal',
    {
      schema: {
        description: 'Ends every link to acknowledge that is out',
        response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS },
      },
    },
    (_request, reply) => {
      acknowledgeLinks.renew();
      void reply.code(204);
      return null;
    },
  );
  api.get('/people', { schema: { response: { 200: PersonList, ...PROBLEM_ANSWERS } } }, () => ({
    people: channels.people(),
  }));
  api.put(
    '/people/:id',
    { schema: { params: Params, body: PersonEntry, response: { 200: Person, ...PROBLEM_ANSWERS } } },
    (request) => granted(channels.putPerson(request.params.id, request.body)),
  );
  api.delete(
    '/people/:id',
    { schema: { params: Params, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      granted(channels.deletePerson(request.params.id));
      void reply.code(204);
      return null;
    },
  );
  api.get('/push-key', { schema: { response: { 200: PushKey, ...PROBLEM_ANSWERS } } }, () => ({
    publicKey: channels.pushKey(),
  }));
  api.put(
    '/people/:id/browsers',
    { schema: { params: Params, body: BrowserEntry, response: { 200: Subscribed, ...PROBLEM_ANSWERS } } },
    (request) => granted(channels.putBrowser(request.params.id, request.body)),
  );
  api.delete(
    '/people/:id/browsers/:subscriptionId',
    { schema: { params: BrowserParams, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      granted(channels.deleteBrowser(request.params.id, request.params.subscriptionId));
      void reply.code(204);
      return null;
    },
  );
};
