import type { Place, PlaceChange, Site, SiteChange, Supply, SupplyChange } from '../contract/index.ts';
import { FIRST_PLACE_ID, FIRST_SUPPLY_ID } from '../domain/catalogue.ts';
import { full } from './limits.ts';
import { isTimeZone } from './local-time.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import { presentSite } from './present.ts';
import type { Register } from './register.ts';

/** Changes of the site, its places and its gas supplies. */
export class PlaceChanges {
  readonly #register: Register;

  constructor(register: Register) {
    this.#register = register;
  }

  putSite(change: SiteChange): Outcome<Site> {
    const site = this.#register.site();
    const timeZone = change.timeZone ?? site.timeZone;
    if (!isTimeZone(timeZone)) {
      return refuse(
        'body-invalid',
        `timeZone: ${timeZone} is no IANA time zone; give one such as Europe/Vienna or UTC`,
      );
    }
    const { temperature, pressure, carbonation, volume } = change.units ?? {};
    const changed = {
      timeZone,
      line: change.line === undefined ? site.line : change.line,
      units: {
        temperature: temperature ?? site.units.temperature,
        pressure: pressure ?? site.units.pressure,
        carbonation: carbonation ?? site.units.carbonation,
        volume: volume ?? site.units.volume,
      },
    };
    this.#register.change('kegs', (catalogue) => {
      // An altitude from the settings is not an entered one: it stays out of the catalogue.
      const { altitudeM, altitudeIsSet } = catalogue.site();
      const altitude =
        change.altitudeM === undefined
          ? { altitudeM, altitudeIsSet }
          : { altitudeM: change.altitudeM, altitudeIsSet: true };
      catalogue.saveSite({ ...changed, ...altitude });
    });
    return done(presentSite(this.#register.site()));
  }

  putPlace(placeId: string, { name }: PlaceChange): Outcome<Place> {
    const isNew = this.#register.place(placeId) === null;
    const tooMany = isNew ? full('places', this.#register.places().length, 'places') : null;
    if (tooMany !== null) return tooMany;
    const place = { placeId, name };
    this.#register.change('kegs', (catalogue) => catalogue.savePlace(place));
    return done(place);
  }

  deletePlace(placeId: string): Outcome<null> {
    if (this.#register.place(placeId) === null) return refuse('place-unknown', `There is no place ${placeId}.`);
    const inIt = this.#register.kegs().filter((keg) => keg.placeId === placeId);
    if (placeId === FIRST_PLACE_ID || inIt.length > 0) {
      const why =
        inIt.length > 0 ? `kegs are in it: ${inIt.map((keg) => keg.kegId).join(', ')}` : 'new kegs are put into it';
      return refuse('still-in-use', `The place ${placeId} cannot go: ${why}. Move them first, or rename it.`);
    }
    this.#register.change('kegs', (catalogue) => catalogue.removePlace(placeId));
    return done(null);
  }

  putSupply(supplyId: string, change: SupplyChange): Outcome<Supply> {
    const known = this.#register.supply(supplyId);
    const tooMany = known === null ? full('supplies', this.#register.supplies().length, 'gas supplies') : null;
    if (tooMany !== null) return tooMany;
    const supply = {
      supplyId,
      name: change.name ?? known?.name ?? supplyId,
      co2Ratio: change.co2Ratio === undefined ? (known === null ? 1 : known.co2Ratio) : change.co2Ratio,
      cylinderKg: change.cylinderKg === undefined ? (known?.cylinderKg ?? null) : change.cylinderKg,
    };
    this.#register.change('kegs', (catalogue) => catalogue.saveSupply(supply));
    return done(supply);
  }

  deleteSupply(supplyId: string): Outcome<null> {
    if (this.#register.supply(supplyId) === null)
      return refuse('supply-unknown', `There is no gas supply ${supplyId}.`);
    const onIt = this.#register.kegs().filter((keg) => keg.supplyId === supplyId);
    if (supplyId === FIRST_SUPPLY_ID || onIt.length > 0) {
      const why =
        onIt.length > 0 ? `kegs are on it: ${onIt.map((keg) => keg.kegId).join(', ')}` : 'new kegs are put on it';
      return refuse('still-in-use', `The gas supply ${supplyId} cannot go: ${why}. Move them first, or rename it.`);
    }
    this.#register.change('kegs', (catalogue) => catalogue.removeSupply(supplyId));
    return done(null);
  }
}
