import { z } from 'zod';
import { presentSite } from '../../app/present.ts';
import {
  Id,
  Place,
  PlaceChange,
  PlaceList,
  Site,
  SiteChange,
  Supply,
  SupplyChange,
  SupplyList,
} from '../../contract/index.ts';
import { granted } from '../problems.ts';
import { NO_CONTENT, PROBLEM_ANSWERS, type Routes } from './route.ts';

const Params = z.object({ id: Id });

/** The site, its places and its gas supplies. */
export const siteRoutes: Routes = (api, { register, placeChanges }) => {
  api.get('/site', { schema: { response: { 200: Site, ...PROBLEM_ANSWERS } } }, () => presentSite(register.site()));
  api.put('/site', { schema: { body: SiteChange, response: { 200: Site, ...PROBLEM_ANSWERS } } }, (request) =>
    granted(placeChanges.putSite(request.body)),
  );
  api.get('/places', { schema: { response: { 200: PlaceList, ...PROBLEM_ANSWERS } } }, () => ({
    places: register.places().map((place) => ({ ...place })),
  }));
  api.put(
    '/places/:id',
    { schema: { params: Params, body: PlaceChange, response: { 200: Place, ...PROBLEM_ANSWERS } } },
    (request) => granted(placeChanges.putPlace(request.params.id, request.body)),
  );
  api.delete(
    '/places/:id',
    { schema: { params: Params, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      granted(placeChanges.deletePlace(request.params.id));
      void reply.code(204);
      return null;
    },
  );
  api.get('/supplies', { schema: { response: { 200: SupplyList, ...PROBLEM_ANSWERS } } }, () => ({
    supplies: register.supplies().map((supply) => ({ ...supply })),
  }));
  api.put(
    '/supplies/:id',
    { schema: { params: Params, body: SupplyChange, response: { 200: Supply, ...PROBLEM_ANSWERS } } },
    (request) => granted(placeChanges.putSupply(request.params.id, request.body)),
  );
  api.delete(
    '/supplies/:id',
    { schema: { params: Params, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      granted(placeChanges.deleteSupply(request.params.id));
      void reply.code(204);
      return null;
    },
  );
};
