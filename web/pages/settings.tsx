import { useEffect } from 'preact/hooks';
import { AccessPanel } from '../components/access-panel/access-panel.tsx';
import { Cautions } from '../components/cautions/cautions.tsx';
import { Choice } from '../components/choice/choice.tsx';
import { SiteForm, UnitsForm } from '../components/site-form/site-form.tsx';
import { SETTINGS_PAGES } from '../components/sub-pages/of-alerts.ts';
import { SubPages } from '../components/sub-pages/sub-pages.tsx';
import { access, sessionsResource } from '../store/access.ts';
import { changeSite } from '../store/actions.ts';
import { site, view } from '../store/dashboard.ts';
import { chooseContrast, chooseTheme, contrast, theme } from '../store/preferences.ts';
import '../styles/lists.css';

declare const __QUIETKEG_VERSION__: string;

/** What is set for the fridge, what is set for this screen, and the cautions. */
export function SettingsPage() {
  const here = site.value;
  const isOwner = access.value?.you?.role === 'owner' && access.value.claimed;
  useEffect(() => {
    if (isOwner) void sessionsResource.load();
  }, [isOwner]);
  return (
    <div class="sheet lists">
      <h1>Settings</h1>
      <SubPages label="Settings" here="/settings" pages={SETTINGS_PAGES} />
      <div class="parts">
        <div>
          {here === null ? (
            <p class="note">Asking for what is set.</p>
          ) : (
            <>
              <SiteForm
                key={`${here.altitudeM}-${here.timeZone}`}
                site={here}
                zones={zones()}
                barometerKpaAbsolute={barometer()}
                onChange={changeSite}
              />
              <UnitsForm units={here.units} onChange={changeSite} />
            </>
          )}
          <ScreenChoices />
        </div>
        <div>
          {access.value !== null && <AccessPanel access={access.value} sessions={sessionsResource.value.value} />}
          <Cautions />
          <section class="part" aria-labelledby="h-about">
            <header>
              <h2 id="h-about">About</h2>
            </header>
            <div class="about">
              <p>Quietkeg {__QUIETKEG_VERSION__}</p>
              <p class="note">
                For programs: the <a href="/api/v1/openapi.json">description of the API</a>.
              </p>
            </div>
          </section>
        </div>
      </div>
    </div>
  );
}

function ScreenChoices() {
  return (
    <section class="part" aria-labelledby="h-screen">
      <header>
        <h2 id="h-screen">This screen</h2>
        <p class="note">kept on this device</p>
      </header>
      <Choice
        label="Light or dark"
        value={theme.value}
        choices={[
          ['auto', 'As the device'],
          ['light', 'Light'],
          ['dark', 'Dark'],
        ]}
        onChoose={chooseTheme}
      />
      <Choice
        label="Contrast"
        value={contrast.value}
        choices={[
          ['auto', 'As the device'],
          ['normal', 'Normal'],
          ['more', 'Strong'],
        ]}
        onChoose={chooseContrast}
      />
    </section>
  );
}

/** Air pressure by the barometer, as the kegs are told it (kPa absolute); null if none of them hears one. */
const barometer = (): number | null =>
  view.value.kegs.find((keg) => keg.ambientFrom === 'barometer')?.ambientKpaAbsolute ?? null;

/** Older browsers cannot list the zones; the field then takes what is typed. */
function zones(): readonly string[] {
  return 'supportedValuesOf' in Intl ? Intl.supportedValuesOf('timeZone') : [];
}
