import { Delivery } from '../../contract/index.ts';
import { PROBLEM_ANSWERS, type Routes } from './route.ts';

/** How surely readings come in. */
export const deliveryRoutes: Routes = (api, { deliveryReport }) => {
  api.get('/delivery', { schema: { response: { 200: Delivery, ...PROBLEM_ANSWERS } } }, () => deliveryReport());
};
